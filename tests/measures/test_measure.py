"""Ratios are medians of pairs, goals judge figures, and the command keeps its form."""

from __future__ import annotations

import json
import os
import sys

import pytest
from django.core.management import CommandError, call_command

from repairs.measures import harness, papers
from repairs.measures.content import Picture, report
from repairs.measures.harness import Cost, Figure, MeasureError, Plan
from repairs.measures.registry import ROOMS
from repairs.papers.blocks.document import ConditionReport

CONTRACT = {"value", "goal", "unit", "met"}


def quiet(_words: str) -> None:
    """Nobody listens."""


def python(code: str) -> list[str]:
    return [sys.executable, "-c", code]


def told(capsys) -> dict[str, dict[str, object]]:
    return json.loads(capsys.readouterr().out)


def picture(i: int) -> Picture:
    return Picture(name=f"derived/{i}.jpg", width=1344, height=1008, sha256=f"{i:064x}")


def test_a_ratio_is_the_median_of_the_pairs_of_one_round():
    assert harness.ratio([2.0, 30.0, 4.0], [1.0, 10.0, 1.0]) == 3.0


def test_runs_that_are_no_pairs_have_no_ratio():
    with pytest.raises(ValueError, match="shorter"):
        harness.ratio([1.0, 2.0], [1.0])


@pytest.mark.parametrize(
    ("value", "goal", "met"),
    [
        (20.0, "<= 20", True),
        (20.1, "<= 20", False),
        (44.0, ">= 44", True),
        (43.9, ">= 44", False),
        (1.0, None, None),
    ],
)
def test_a_figure_is_judged_by_its_goal(value, goal, met):
    assert Figure(value, "×", goal).met is met


def test_what_could_not_be_judged_says_why():
    said = Figure(1.2, "×", ">= 1.8", note="only one core was free", judged=False).plain()

    assert said["met"] is None
    assert said["note"] == "only one core was free"


def test_a_child_is_charged_for_its_own_seconds(tmp_path):
    busy = python(
        "import time\nwhile time.process_time() < 0.4: pass\nprint('ready')\nprint('{\"a\": 1}')"
    )
    idle = python("import time; time.sleep(0.4); print('{}')")

    costs = harness.in_turns({"busy": busy, "idle": idle}, tmp_path, 1, quiet)

    assert costs["busy"][0].cpu_s > 0.4
    assert costs["busy"][0].fact("a") == 1.0
    assert costs["idle"][0].cpu_s < 0.3


def test_a_child_that_fails_is_named_with_its_last_words(tmp_path):
    with pytest.raises(MeasureError, match="no such photo"):
        harness.run(python("raise SystemExit('no such photo')"), tmp_path)


def test_the_lean_child_of_a_large_parent_is_lean(tmp_path):
    ballast = bytearray(200 * 2**20)

    cost = harness.run(python("from repairs.measures.child import tell; tell({})"), tmp_path)

    assert cost.fact("peak_mb") < 60
    assert len(ballast) == 200 * 2**20


def test_rounds_alternate_their_order(monkeypatch, tmp_path):
    ran = []

    def noted(line, _data):
        ran.append(line[0])
        return Cost(cpu_s=1.0, facts={})

    monkeypatch.setattr(harness, "run", noted)

    harness.in_turns({"first": ["a"], "second": ["b"]}, tmp_path, 3, quiet)

    assert ran == ["a", "b", "b", "a", "a", "b"]


def test_the_cores_are_given_back():
    before = os.sched_getaffinity(0)

    with harness.one_core():
        assert len(os.sched_getaffinity(0)) == 1

    assert os.sched_getaffinity(0) == before


def test_free_cores_are_no_more_than_there_are():
    assert 0 <= harness.free_cores(0.1) <= (os.cpu_count() or 1)


def test_the_measured_report_is_a_whole_one():
    body = report(tuple(picture(i) for i in range(40)))

    assert isinstance(body, ConditionReport)
    assert len(body.findings) == 16
    assert sum(1 for photo in body.photos if photo.marks) == 20
    assert len({photo.picture for photo in body.photos}) == 40


@pytest.mark.slow
@pytest.mark.share(11)
@pytest.mark.parametrize("what", list(ROOMS))
def test_a_quick_run_prints_one_object_as_agreed(what, capsys):
    call_command("measure", what, "--quick", "--json")

    figures = told(capsys)
    assert len(figures) > 3
    for figure in figures.values():
        assert set(figure) >= CONTRACT
        assert isinstance(figure["value"], float)
        assert figure["met"] is None
    assert any(figure["goal"] for figure in figures.values())
    if what == "invoices":
        really_issued(figures)


def really_issued(figures: dict[str, dict[str, object]]) -> None:
    """The benchmark of invoices issues some, and the bare rules are a floor."""
    value = {name: float(str(figure["value"])) for name, figure in figures.items()}
    assert figures["issue_with_full_validation_warm"]["goal"] == "<= 0.5"
    assert figures["einvoice_written_and_checked_warm"]["goal"] == "<= 0.5"
    written = value["einvoice_written_and_checked_warm"]
    assert value["issue_with_full_validation_warm"] > written > 0
    assert value["bare_rules"] > 0
    assert value["at_once_issued"] >= 8
    assert {value[f"at_once_{fault}"] for fault in ("gaps", "twins", "out_of_order")} == {0}


def test_an_unknown_room_is_refused_with_the_known_ones():
    known = r"“glue”. Measure one of: backup, causes, cover, doors, faults, gauges"

    with pytest.raises(CommandError, match=known):
        call_command("measure", "glue")


def test_missing_floors_are_named_with_the_way_to_them(monkeypatch):
    monkeypatch.setattr(papers, "find_spec", lambda _name: None)

    with pytest.raises(MeasureError, match=r"img2pdf and reportlab.*manage.py test"):
        papers.measure(Plan(), quiet)


@pytest.fixture
def bad_day(monkeypatch):
    """A room whose one goal is missed."""
    figures = {"slow": Figure(3.0, "×", "<= 2"), "size": Figure(1.0, "MB")}
    monkeypatch.setattr(
        "repairs.management.commands.measure.ROOMS", {"papers": lambda _plan, _say: figures}
    )


def test_a_missed_goal_is_shown_and_is_no_error(bad_day, capsys):
    call_command("measure", "papers")

    out = capsys.readouterr().out
    assert "MISSED" in out
    assert "0 of 1 goals met" in out


def test_a_missed_goal_fails_a_strict_run(bad_day, capsys):
    with pytest.raises(CommandError, match="Goals missed: slow"):
        call_command("measure", "papers", "--json", "--strict")

    assert told(capsys)["slow"]["met"] is False
