"""Worked faults through the command’s own way: the gauges compute, causes come in order.

``worked_faults.json`` holds twenty (four of them double) with raw readings; ``own_faults.json``
forty more, whose readings a small program made from the cause (see make_own_faults.py).
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from repairs.causes.file import answer_to

HERE = Path(__file__).parent
FILES = ("worked_faults.json", "own_faults.json")


@cache
def answered(file: str) -> list[tuple[dict[str, Any], dict[str, Any]]]:
    cases = json.loads((HERE / file).read_text("utf-8"))["cases"]
    return [(case, answer_to(case)) for case in cases]


def first(answer: dict[str, Any], count: int) -> list[str]:
    return [one["key"] for one in answer["causes"][:count]]


@pytest.mark.parametrize("file", FILES)
def test_a_true_cause_comes_first_and_all_are_within_three(file):
    rows = answered(file)

    wrong = [(case["key"], first(a, 3)) for case, a in rows if first(a, 1)[0] not in case["truth"]]
    missed = [
        (case["key"], first(a, 3)) for case, a in rows if not set(case["truth"]) <= set(first(a, 3))
    ]

    assert len(rows) in (20, 40)
    assert len(wrong) <= 0.15 * len(rows), wrong
    assert len(missed) <= 0.1 * len(rows), missed
    if file == FILES[0]:
        assert wrong == missed == []


def test_without_findings_and_history_readings_still_tell():
    cases = json.loads((HERE / FILES[0]).read_text("utf-8"))["cases"]
    answers = [answer_to({**case, "findings": [], "history": []}) for case in cases]

    right = sum(first(a, 1)[0] in case["truth"] for case, a in zip(cases, answers, strict=True))
    within = sum(
        set(case["truth"]) <= set(first(a, 3)) for case, a in zip(cases, answers, strict=True)
    )

    assert right >= 18 and within >= 18


def test_each_answer_has_its_form_and_says_why():
    for case, answer in answered(FILES[0]):
        causes, look = answer["causes"], answer["next"]
        shares = [one["probability"] for one in causes]
        assert shares == sorted(shares, reverse=True) and 0 <= shares[-1] <= shares[0] <= 1
        assert {"key", "probability", "for", "against"} == set(causes[0])
        assert causes[0]["for"], case["key"]
        assert {"look_at", "minutes", "bits", "would_move"} <= set(look)
        moved = look["would_move"]
        assert moved["to"][1] < moved["from"] < moved["to"][0]
        assert look["bits"] > 0 and look["minutes"] > 0
        assert answer["left_out"] < 0.05


def test_truth_and_figures_are_passed_over():
    case, answer = answered(FILES[0])[0]
    bare = [{"gauge": one["gauge"], "given": one["given"]} for one in case["readings"]]
    bare[0]["second_turn_mm"] = case["readings"][0]["second_turn_mm"]

    assert answer_to({**case, "truth": ["peg_dry"], "readings": bare}) == answer


def test_two_causes_at_once_are_both_likely_and_a_silent_swell_is_said():
    answers = {case["key"]: answer for case, answer in answered(FILES[0])}

    both = {one["key"]: one["probability"] for one in answers["ex18_line_and_play"]["causes"]}
    assert both["shank_plays"] > 0.9 and both["tangents_out_of_line"] > 0.9
    pressed = {
        one["key"]: one["probability"]
        for one in answers["ex17_out_of_centre_and_pressed"]["causes"]
    }
    assert pressed["wheel_eccentric"] > 0.8 and pressed["pressure_high"] > 0.8


def test_a_cause_can_come_in_by_a_reading_alone():
    case = next(case for case, _answer in answered(FILES[0]) if case["truth"] == ["wheel_wobbles"])

    alone = answer_to({"kind": case["kind"], "readings": case["readings"]})

    assert first(alone, 1) == ["wheel_wobbles"] and alone["causes"][0]["probability"] > 0.9
    nothing = answer_to({"kind": case["kind"]})
    assert nothing["causes"][0]["probability"] < 0.1


def test_a_symptom_that_nothing_likely_explains_is_said():
    case = next(case for case, _answer in answered(FILES[0]) if case["truth"] == ["wheel_wobbles"])

    answer = answer_to({**case, "heard": ["side_rub", "dead_spot"], "asked_not_heard": [
        "weak_overtones", "weak", "swells_once", "drone_whistles"]})  # fmt: skip
    usual = answer_to(case)

    kinds = {(one["kind"], one["what"]) for one in answer["contradictions"]}
    assert answer["causes"][0]["key"] == "wheel_wobbles"
    assert kinds <= {("unexplained", "dead_spot")}
    assert usual["contradictions"] == []


def test_a_likely_cause_whose_main_symptom_was_denied_is_said():
    case = next(case for case, _answer in answered(FILES[0]) if case["truth"] == ["rosin_much"])

    answer = answer_to({**case, "heard": ["scratch_choke"], "asked_not_heard": ["gritty"]})

    assert {"kind": "silent", "what": "gritty", "cause": "rosin_much"} in answer["contradictions"]
