"""The ranking itself, on a table small enough to reckon with a pencil."""

from __future__ import annotations

import math
from typing import Any

import pytest
from django.utils import translation

from repairs.causes.ranking import Ranked, deciding_reading, rank


def both(words: str) -> dict[str, str]:
    return {"en": words, "fr": f"{words} (fr)"}


def evidence(figure: str, when: str, times: float = 4.0, else_times: float = 0.25) -> Any:
    return {
        "gauge": "dial",
        "figure": figure,
        "when": when,
        "times": times,
        "else_times": else_times,
        "says": both(f"{figure} is {when}"),
    }


def cause(key: str, *entries: Any, findings: Any = ()) -> Any:
    text = dict.fromkeys(("label", "check", "remedy", "caution"), both(key))
    return {
        "key": key,
        **text,
        "irreversible": False,
        "evidence": list(entries),
        "findings": list(findings),
    }


def table(*causes: Any, weights: dict[tuple[str, str], float] | None = None) -> Any:
    """A fault table; without weights each cause weighs 1 for the symptom ``heard``."""
    names = sorted({e["figure"] for row in causes for e in row["evidence"]})
    links = weights or {("heard", row["key"]): 1.0 for row in causes}
    return {
        "gauges": [{"key": "dial", "label": both("dial")}],
        "figures": [{"gauge": "dial", "figure": n, "label": both(n)} for n in names],
        "causes": list(causes),
        "links": [{"symptom": s, "cause": c, "weight": w} for (s, c), w in links.items()],
    }


def ranked(faults: Any, read: Any = None, **seen: int) -> dict[str, Ranked]:
    known = {f"dial.{figure}": word for figure, word in (read or {}).items()}
    return {row.key: row for row in rank(faults, ["heard"], known, seen)}


SEAT = cause("seat", evidence("ecc", "outside"))
FORM = cause("form", evidence("oval", "outside", 9.0, 1.0))


@pytest.mark.parametrize(
    ("language", "sentence"),
    [("en", "Seen on the instrument: crack."), ("fr", "Vu sur l’instrument : fissure.")],
)
def test_a_finding_that_speaks_for_a_cause_is_shown_for_it(language, sentence):
    seen = {"term": "crack", "times": 3.0}

    with translation.override(language):
        found = ranked(table(cause("split", findings=[seen]), SEAT), crack=1)["split"]

    (reason,) = found.because
    assert reason.raises is True
    assert str(reason).replace("\u00a0", " ") == sentence
    assert found.share == pytest.approx(3 / 4)


def test_a_finding_of_another_part_or_none_of_it_says_nothing():
    seen = {"term": "crack", "times": 3.0, "parts": ["back", "soundboard"]}
    faults = table(cause("split", findings=[seen]), SEAT)

    for counted in ({"crack": 2}, {"crack@neck": 1}, {"crack@back": 0}):
        found = ranked(faults, **counted)["split"]
        assert found.because == ()
        assert found.share == pytest.approx(1 / 2)
    assert ranked(faults, **{"crack@soundboard": 1})["split"].share == pytest.approx(3 / 4)


def test_between_exactly_two_causes_the_deciding_reading_is_named():
    causes = rank(table(SEAT, FORM), ["heard"], {}, {})
    decides = deciding_reading(causes)

    assert len(causes) == 2
    assert decides is not None
    # By hand: ln 4 both ways for the one, (ln 9 + ln 1)/2 for the other.
    assert (decides.gauge, decides.figure) == ("dial", "ecc")
    assert decides.separates == pytest.approx(math.log(4))
    assert causes[0].deciding[1].separates == pytest.approx(math.log(9) / 2)


def test_of_a_single_cause_there_is_nothing_to_decide():
    causes = rank(table(SEAT), ["heard"], {}, {})

    assert len(causes) == 1
    assert causes[0].deciding[0].separates == pytest.approx(math.log(4))
    assert deciding_reading(causes) is None


def test_a_cause_is_set_apart_from_the_first_of_the_others():
    third = cause("third", evidence("tir", "outside"))
    weights = {("heard", "seat"): 3.0, ("heard", "form"): 2.0, ("heard", "third"): 1.0}
    found = ranked(table(SEAT, FORM, third, weights=weights))

    named = {key: {d.figure for d in row.deciding} for key, row in found.items()}
    assert named == {
        "seat": {"ecc", "oval"},
        "form": {"ecc", "oval"},
        "third": {"ecc", "tir"},
    }


def test_a_figure_with_sides_is_weighed_over_its_three_outcomes():
    light = cause("light", evidence("force", "below", 8.0, 0.5))
    found = ranked(table(light, FORM))["light"]

    (force,) = [d for d in found.deciding if d.figure == "force"]
    # inside and above speak against it (½ each), below for it (8).
    assert force.separates == pytest.approx((2 * math.log(2) + math.log(8)) / 3)


def test_a_figure_without_sides_is_weighed_over_two():
    found = ranked(table(cause("a", evidence("ecc", "outside", 8.0, 0.5)), FORM))["a"]

    (ecc,) = [d for d in found.deciding if d.figure == "ecc"]
    assert ecc.separates == pytest.approx((math.log(8) + math.log(2)) / 2)


def test_a_figure_that_moves_both_alike_decides_nothing():
    twin = cause("twin", evidence("ecc", "outside"))

    assert ranked(table(SEAT, twin))["seat"].deciding == ()


@pytest.mark.parametrize(
    ("when", "word", "times"),
    [
        ("outside", "outside", 4.0),
        ("outside", "above", 4.0),
        ("outside", "below", 4.0),
        ("outside", "inside", 0.25),
        ("inside", "inside", 4.0),
        ("inside", "outside", 0.25),
        ("inside", "above", 0.25),
        ("above", "above", 4.0),
        ("above", "below", 0.25),
        ("above", "inside", 0.25),
        ("above", "outside", 1.0),  # the side is not known: it does not tell
        ("below", "above", 0.25),
        ("outside", "doubtful", 1.0),
        ("outside", "not_judged", 1.0),
        ("inside", "doubtful", 1.0),
    ],
)
def test_what_a_reading_does_to_a_cause(when, word, times):
    rival = cause("rival")

    found = ranked(table(cause("a", evidence("ecc", when)), rival), {"ecc": word})

    assert found["a"].share / found["rival"].share == pytest.approx(times)
    assert [r.raises for r in found["a"].because] == ([] if times == 1 else [times > 1])


def test_factors_of_readings_and_findings_are_multiplied():
    seen = [{"term": "crack", "times": 3.0}, {"term": "loss", "times": 2.0}]
    entries = (evidence("ecc", "outside"), evidence("oval", "outside", 5.0, 0.2))
    faults = table(cause("a", *entries, findings=seen), cause("rival"))

    found = ranked(faults, {"ecc": "outside", "oval": "inside"}, crack=1, loss=2)

    # 4 · 0.2 · 3 · 2 against 1
    assert found["a"].share / found["rival"].share == pytest.approx(4.8)


@pytest.mark.parametrize(
    ("times", "else_times", "word", "sentence", "raises"),
    [
        (4.0, 0.25, "outside", "Ecc, outside its limit: ecc is outside", True),
        (4.0, 0.25, "above", "Ecc, above its limit: ecc is outside", True),
        (4.0, 0.25, "inside", "Ecc, inside its limit: this speaks against it.", False),
        (0.5, 2.0, "inside", "Ecc, inside its limit: this speaks for it.", True),
        (0.5, 2.0, "outside", "Ecc, outside its limit: ecc is outside", False),
    ],
)
def test_a_reading_says_why_and_which_way(times, else_times, word, sentence, raises):
    faults = table(cause("a", evidence("ecc", "outside", times, else_times)), cause("rival"))

    (reason,) = ranked(faults, {"ecc": word})["a"].because

    assert (str(reason), reason.raises) == (sentence, raises)


def test_the_weights_of_several_symptoms_add_up():
    weights = {("heard", "seat"): 1.0, ("felt", "seat"): 2.0, ("felt", "form"): 1.0}
    faults = table(SEAT, FORM, weights=weights)

    both_told = rank(faults, ["heard", "felt", "never heard of"], {}, {})
    one_told = rank(faults, ["heard"], {}, {})

    assert [(row.key, row.share) for row in both_told] == [("seat", 0.75), ("form", 0.25)]
    assert [(row.key, row.share) for row in one_told] == [("seat", 1.0)]


def test_without_a_symptom_what_a_reading_beyond_its_limit_points_to_is_ranked():
    ok = cause("ok", evidence("oval", "inside"))
    faults = table(SEAT, FORM, ok)

    assert [c.key for c in rank(faults, [], {"dial.ecc": "above"}, {})] == ["seat"]
    # “inside” is no fault, though some cause would have it so.
    assert rank(faults, [], {"dial.oval": "inside", "dial.ecc": "doubtful"}, {}) == []
    assert [c.key for c in rank(faults, [], {"dial.oval": "outside"}, {})] == ["form"]
    assert rank(faults, [], {}, {"crack": 1}) == []


def test_only_what_is_open_and_can_be_taken_is_proposed():
    faults = table(SEAT, FORM)
    faults["figures"][1]["takeable"] = False

    proposed = {word: ranked(faults, {"ecc": word})["seat"].deciding for word in ("doubtful",)}
    settled = [ranked(faults, {"ecc": word})["seat"].deciding for word in ("inside", "not_judged")]

    assert [(d.figure, d.again) for d in proposed["doubtful"]] == [("ecc", True)]
    assert [(d.figure, d.again) for d in ranked(faults)["seat"].deciding] == [("ecc", False)]
    assert settled == [(), ()]


@pytest.mark.parametrize(
    ("share", "pct"), [(0.024, 0), (0.026, 5), (0.074, 5), (0.076, 10), (0.5, 50), (1.0, 100)]
)
def test_a_share_is_told_in_steps_of_five(share, pct):
    row = Ranked("a", "", "", "", "", False, share, (), ())

    assert row.share_pct == pct


def test_readings_that_tell_stand_under_their_gauge_the_best_first():
    found = ranked(table(SEAT, FORM))["seat"]

    ((gauge, label, rows),) = found.readings
    assert (gauge, label) == ("dial", "dial")
    assert [row.figure for row in rows] == ["ecc", "oval"]
