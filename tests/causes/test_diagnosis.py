"""Causes in order: three worked faults, and what moves the order."""

from __future__ import annotations

import itertools

import pytest
from django.utils import translation
from hypothesis import given, settings
from hypothesis import strategies as st

from repairs.causes.diagnosis import faults
from repairs.causes.ranking import Ranked, deciding_reading, rank
from repairs.findings.vocabulary import terms

FIGURES = [f"{row['gauge']}.{row['figure']}" for row in faults()["figures"]]
SYMPTOMS = [row["key"] for row in faults()["symptoms"]]
WHENS = {"inside", "outside", "above", "below"}
WHEEL_RUNS_TRUE = {"wheel.ecc_mm": "inside", "wheel.tir_mm": "inside"}
words = st.sampled_from(["inside", "outside", "above", "below", "doubtful", "not_judged"])
readings = st.dictionaries(st.sampled_from(FIGURES), words)
complaints = st.lists(st.sampled_from(SYMPTOMS), min_size=1, max_size=3, unique=True)
seen = st.dictionaries(st.sampled_from(sorted(terms())), st.integers(0, 3), max_size=3)


def order(symptoms: list[str], evidence: dict[str, str], **terms: int) -> list[str]:
    return [cause.key for cause in rank(faults(), symptoms, evidence, terms)]


def ranked(symptoms: list[str], evidence: dict[str, str]) -> dict[str, Ranked]:
    return {cause.key: cause for cause in rank(faults(), symptoms, evidence, {})}


# Three worked faults


def test_a_swell_once_a_turn_is_the_wheel_until_the_dial_says_that_it_runs_true():
    before = order(["swells_once"], {})

    after = order(["swells_once"], WHEEL_RUNS_TRUE)

    assert before[0] == "wheel_eccentric"
    assert after[:2] == ["rim_greasy", "rim_joint_lip"]
    assert after.index("wheel_eccentric") > 4


def test_the_dial_confirms_an_eccentric_wheel_and_says_why():
    evidence = {"wheel.ecc_mm": "outside", "wheel.tir_mm": "outside"}

    with translation.override("en"):
        first = rank(faults(), ["swells_once"], evidence, {"not_true@wheel": 1})[0]

    assert first.key == "wheel_eccentric" and first.share_pct >= 90
    assert first.irreversible and "owner’s consent" in first.caution
    assert [str(reason) for reason in first.because] == [
        "Eccentricity, outside its limit: the rim comes nearer to the strings once a turn.",
        "Radial run-out, outside its limit: the rim moves in and out by more than the strings "
        "forgive.",
        "Seen on the instrument: does not turn true.",
    ]


def test_sharp_rising_up_is_the_scale_until_the_fit_says_that_the_scale_is_right():
    before = rank(faults(), ["sharp_rising"], {}, {})
    decides = deciding_reading(before)

    scale_fits = order(["sharp_rising"], {"correction.scale_error_mm": "inside"})
    keys_stray = order(
        ["sharp_rising"],
        {"correction.scale_error_mm": "inside", "correction.worst_cents": "outside"},
    )

    assert before[0].key == "short_scale"
    assert decides and (decides.gauge, decides.figure) == ("correction", "scale_error_mm")
    assert scale_fits[:2] == ["string_old", "tangents_shifted"]
    assert scale_fits[-1] == "short_scale"
    assert keys_stray[0] == "tangents_shifted"


def test_one_false_note_is_its_tangent_until_the_action_shows_a_neighbour_in_the_way():
    tuner = {"correction.worst_cents": "outside"}
    before = rank(faults(), ["one_note_false"], tuner, {})
    decides = deciding_reading(before)

    touched = order(["one_note_false"], {**tuner, "action.clear_own_mm": "outside"})
    clear = ranked(["one_note_false"], {**tuner, "action.clear_own_mm": "inside"})

    assert before[0].key == "tangent_turned"
    assert decides and decides.gauge == "action"
    assert touched[:2] == ["neighbour_touches", "tangent_turned"]
    assert clear["tangent_turned"].share > before[0].share


# What moves the order, and what does not


def test_a_reading_outside_proposes_causes_without_any_symptom():
    assert order([], {}) == []
    assert order([], {"wheel.ecc_mm": "outside"})[:2] == ["wheel_eccentric", "axle_bent"]
    assert order(["no_such_symptom"], {"wheel.oval_amp_mm": "above"}) == ["wheel_oval"]
    assert order([], {"wheel.ecc_mm": "inside", "wheel.tir_mm": "doubtful"}) == []


def test_the_side_of_a_limit_tells_too_light_from_too_heavy():
    both = ["weak", "scratch_choke"]

    assert order(both, {"voicing_card.paper": "below"})[0] == "pressure_low"
    assert order(both, {"voicing_card.paper": "above"})[0] == "pressure_high"
    assert order(both, {"voicing_card.paper": "outside"}) == order(both, {})


def test_two_symptoms_raise_the_cause_that_they_share():
    alone = {c.key: c.share for c in rank(faults(), ["side_rub"], {}, {})}
    both = {c.key: c.share for c in rank(faults(), ["side_rub", "cotton_one_edge"], {}, {})}

    assert both["wheel_wobbles"] > both["slot_swollen"]
    assert both["wheel_wobbles"] / both["slot_swollen"] > (
        alone["wheel_wobbles"] / alone["slot_swollen"]
    )


def test_a_finding_counts_on_its_own_part_only():
    plain = ranked(["body_buzzes"], {})["seam_open"].share

    on_keybox = rank(faults(), ["body_buzzes"], {}, {"open_joint": 1, "open_joint@keybox": 1})
    on_back = rank(faults(), ["body_buzzes"], {}, {"open_joint": 1, "open_joint@back": 1})

    assert next(c.share for c in on_keybox if c.key == "seam_open") == plain
    assert on_back[0].key == "seam_open" and on_back[0].share > plain


def test_doubtful_moves_nothing_and_is_offered_again():
    before = rank(faults(), ["swells_twice"], {}, {})
    doubtful = rank(faults(), ["swells_twice"], {"wheel.oval_amp_mm": "doubtful"}, {})
    settled = rank(faults(), ["swells_twice"], {"wheel.oval_amp_mm": "not_judged"}, {})

    again = {(d.figure, d.again) for d in doubtful[0].deciding}

    assert [c.share for c in doubtful] == [c.share for c in before]
    assert ("oval_amp_mm", True) in again and ("ecc_mm", False) in again
    assert "oval_amp_mm" not in {d.figure for d in settled[0].deciding}


def test_nothing_decides_between_causes_that_no_gauge_tells_apart():
    assert deciding_reading(rank(faults(), ["hook_ticks"], {}, {})) is None
    assert deciding_reading(rank(faults(), [], {"wheel.oval_amp_mm": "outside"}, {})) is None
    assert deciding_reading([]) is None


@settings(deadline=None)
@given(complaints, readings, seen)
def test_shares_add_up_and_fall_down_the_list(symptoms, evidence, terms):
    causes = rank(faults(), symptoms, evidence, terms)
    shares = [cause.share for cause in causes]

    assert sum(shares) == pytest.approx(1)
    assert shares == sorted(shares, reverse=True)
    assert abs(sum(cause.share_pct for cause in causes) - 100) <= 2.5 * len(causes)


@settings(deadline=None)
@given(complaints, readings, st.sampled_from(FIGURES))
def test_a_reading_inside_never_helps_the_cause_it_speaks_against(symptoms, evidence, figure):
    unread = {key: word for key, word in evidence.items() if key != figure}
    before = ranked(symptoms, unread)
    after = ranked(symptoms, {**unread, figure: "inside"})
    factors = {key: _times_when_inside(key, figure) for key in before}

    for one, other in itertools.permutations(before, 2):
        if factors[one] < 1 <= factors[other]:
            assert _odds(after, one, other) < _odds(before, one, other)
    least = min(factors, key=lambda key: factors[key])
    assert after[least].share <= before[least].share * (1 + 1e-9)


def _times_when_inside(cause: str, figure: str) -> float:
    row = next(row for row in faults()["causes"] if row["key"] == cause)
    entries = [e for e in row["evidence"] if f"{e['gauge']}.{e['figure']}" == figure]
    return next((e["times"] if e["when"] == "inside" else e["else_times"] for e in entries), 1.0)


def _odds(causes: dict[str, Ranked], one: str, other: str) -> float:
    return causes[one].share / causes[other].share


@settings(deadline=None)
@given(complaints, readings)
def test_what_is_said_to_decide_does_move_the_first_two(symptoms, evidence):
    causes = rank(faults(), symptoms, evidence, {})
    decides = deciding_reading(causes)

    if decides is not None:
        first, second = (cause.key for cause in causes[:2])
        key = f"{decides.gauge}.{decides.figure}"
        outcomes = [ranked(symptoms, {**evidence, key: word}) for word in WHENS]
        before = causes[0].share / causes[1].share
        assert any(_odds(found, first, second) != pytest.approx(before) for found in outcomes)
