"""Causes in order: the fault table is whole, three worked faults, and what moves the order."""

from __future__ import annotations

import itertools
import math
import re
from typing import Any

import pytest
from django.utils import translation
from hypothesis import given, settings
from hypothesis import strategies as st

from repairs.causes.diagnosis import faults, faults_of, symptom_choices
from repairs.causes.ranking import Ranked, deciding_reading, rank
from repairs.findings.vocabulary import terms
from repairs.gauges.action import gauge as action
from repairs.gauges.cards import card as cards
from repairs.gauges.everything import MODULES, gauges
from repairs.gauges.strings import stringset
from repairs.instruments.kinds import kinds

FIGURES = [f"{row['gauge']}.{row['figure']}" for row in faults()["figures"]]
READ = {name for row in faults()["figures"] for name in row.get("reads", [])}
SYMPTOMS = [row["key"] for row in faults()["symptoms"]]
WHENS = {"inside", "outside", "above", "below"}
TEXTS = {"label", "hint", "check", "remedy", "caution", "says"}
WHEEL_RUNS_TRUE = {"wheel.ecc_mm": "inside", "wheel.tir_mm": "inside"}

words = st.sampled_from(["inside", "outside", "above", "below", "doubtful", "not_judged"])
readings = st.dictionaries(st.sampled_from(FIGURES), words)
complaints = st.lists(st.sampled_from(SYMPTOMS), min_size=1, max_size=3, unique=True)
seen = st.dictionaries(st.sampled_from(sorted(terms())), st.integers(0, 3), max_size=3)


def order(symptoms: list[str], evidence: dict[str, str], **terms: int) -> list[str]:
    return [cause.key for cause in rank(faults(), symptoms, evidence, terms)]


def ranked(symptoms: list[str], evidence: dict[str, str]) -> dict[str, Ranked]:
    return {cause.key: cause for cause in rank(faults(), symptoms, evidence, {})}


def texts(value: Any) -> list[dict[str, str]]:
    if isinstance(value, list):
        return [text for item in value for text in texts(item)]
    if not isinstance(value, dict):
        return []
    own = [text for name, text in value.items() if name in TEXTS and text is not None]
    return own + [text for item in value.values() for text in texts(item)]


# The fault table


def test_the_thirty_rows_are_there_and_have_several_causes():
    causes = {
        key: [link["cause"] for link in faults()["links"] if link["symptom"] == key]
        for key in SYMPTOMS
    }

    assert sorted(row["row"] for row in faults()["symptoms"]) == list(range(1, 31))
    assert all(len(found) >= 3 and len(found) == len(set(found)) for found in causes.values())


def test_keys_are_unique_and_links_join_what_is_there():
    causes = [row["key"] for row in faults()["causes"]]
    linked = {link["cause"] for link in faults()["links"]}

    assert len(causes) == len(set(causes))
    assert len(SYMPTOMS) == len(set(SYMPTOMS))
    assert linked == set(causes)
    assert all(link["weight"] > 0 for link in faults()["links"])


def test_every_text_speaks_both_languages_and_french_is_set_as_french():
    for text in texts(dict(faults())):
        assert set(text) == {"en", "fr"} and all(t and t == t.strip() for t in text.values())
        assert not re.search(r"['\"]", text["en"] + text["fr"]), text
        assert not re.search(r"[^\u00a0\u202f][:;?!»%]", text["fr"]), text["fr"]


def test_hints_checks_remedies_and_cautions_are_sentences_and_labels_are_not():
    for row in [*faults()["symptoms"], *faults()["causes"]]:
        for name in {"hint", "check", "remedy", "caution"} & row.keys():
            for text in (row[name] or {}).values():
                assert text[0].isupper() and text.endswith("."), text
        for text in row["label"].values():
            assert not text[0].isupper() and not text.endswith("."), text


def test_every_figure_of_the_evidence_is_in_the_table_of_figures():
    entries = [entry for cause in faults()["causes"] for entry in cause["evidence"]]

    assert {f"{entry['gauge']}.{entry['figure']}" for entry in entries} == set(FIGURES)
    assert len(FIGURES) == len(set(FIGURES)) and not READ & {*FIGURES} - _own_names()
    assert {entry["when"] for entry in entries} <= WHENS
    assert all(entry["times"] > 1 > entry["else_times"] > 0 for entry in entries)


def _own_names() -> set[str]:
    rows = faults()["figures"]
    return {f"{row['gauge']}.{row['figure']}" for row in rows if "reads" in row}


def test_every_gauge_of_the_table_is_a_gauge_and_gives_the_figure():
    figures = faults()["figures"]
    turn = [30.0 * place for place in range(12)]
    dial = [0.02 * math.cos(math.radians(angle)) for angle in turn]
    all_round = gauges()["wheel"].run(
        {"angles_deg": turn, "readings_mm": dial, "axial_mm": dial, "mean_diameter_mm": 170.0}
    )
    given = {
        "wheel": all_round,
        "voicing_card": gauges()["voicing_card"].run({"string": "mouche"})["card"],
        "dog_card": gauges()["dog_card"].run({"string": "trompette"})["card"],
        "action": action.DEFAULT_LIMITS,
        "string_set": {*stringset.DEFAULT_LIMITS, "tension_n"},
    }

    assert {row["key"] for row in faults()["gauges"]} == {row["gauge"] for row in figures}
    assert {row["gauge"] for row in figures} <= set(gauges()), MODULES  # imported, so registered
    for row in figures:
        if row["gauge"] in given:
            assert row["figure"] in given[row["gauge"]], row


def test_a_card_is_read_by_words_that_the_card_knows():
    words = {
        "paper": cards.PAPERS, "sound_highest": cards.SOUNDS, "cotton_sense": cards.SENSES,
        "cotton_state": cards.COTTON_STATES, "cotton_wear": cards.WEARS,
        "onset": cards.ONSETS, "foot_full": ("true", "false"),
    }  # fmt: skip
    rows = [row for row in faults()["figures"] if "words" in row]

    assert {row["figure"]: set(row["words"]) for row in rows} == {
        name: set(known) for name, known in words.items()
    }
    assert {word for row in rows for word in row["words"].values()} <= WHENS


def test_findings_name_terms_of_the_vocabulary_and_parts_of_some_kind():
    parts = {part.key for kind in kinds().values() for part in kind.parts}

    for cause in faults()["causes"]:
        for entry in cause["findings"]:
            assert entry["term"] in terms() and entry["times"] > 1
            assert set(entry.get("parts", [])) <= parts


def test_what_cannot_be_undone_carries_a_caution():
    bare = [row["key"] for row in faults()["causes"] if row["irreversible"] and not row["caution"]]

    assert bare == []


def test_a_violin_is_asked_about_pegs_and_body_only():
    groups = dict(symptom_choices("violin"))
    keys = {symptom.key for rows in groups.values() for symptom in rows}

    assert keys == {"peg_slips", "soundboard_sinks", "body_buzzes"}
    assert "wheel_eccentric" not in {row["key"] for row in faults_of("violin")["causes"]}
    assert sum(len(rows) for _label, rows in symptom_choices("vielle_lute")) == 30


@pytest.mark.parametrize("kind", ["vielle_french", "violin"])
def test_only_readings_that_can_be_taken_are_proposed(kind):
    table = faults_of(kind)
    symptoms = [row["key"] for row in table["symptoms"]]

    named = {row.gauge for cause in rank(table, symptoms, {}, {}) for row in cause.deciding}

    assert named <= {sheet.gauge for sheet in kinds()[kind].sheets}
    assert ("wheel" in named) == (kind == "vielle_french")


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
