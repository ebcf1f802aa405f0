"""The mutants are what they say, are drawn alike for one seed, and are found out by a fork."""

from __future__ import annotations

import ast
import importlib.util
import json
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest

from repairs.measures import mutants as measure
from repairs.measures.harness import MeasureError, Plan
from tests.mutants import judging, run
from tests.mutants.draw import ROOMS, changed_tree, draw, files_of, places

TAX = """
from functools import cache

LIMIT = 3


def tax(net, rate):
    return net * rate


class Till:
    @property
    def full(self):
        return len(self.coins) > 2 and not self.broken
"""


def changes(code: str) -> list[str]:
    body = "\n    ".join(code.splitlines())
    tree = ast.parse(f"def f():\n    {body}")
    return [
        ast.unparse(ast.fix_missing_locations(ast.copy_location(changed, node)))
        for node, changed in places(tree)
    ]


@pytest.fixture
def till(tmp_path) -> ModuleType:
    file = tmp_path / "till.py"
    file.write_text(TAX, encoding="utf-8")
    spec = importlib.util.spec_from_file_location("till", file)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(
    ("code", "changed"),
    [
        ("x < y", ["x <= y"]),
        ("x in y", ["x not in y"]),
        ("x is y", ["x is not y"]),
        ("x and y", ["x or y"]),
        ("not x", ["x"]),
        ("x + y", ["x - y"]),
        ("x * y", ["x / y"]),
        ("x += y", ["x -= y"]),
        ("x = 2", ["x = 3", "3"][1:]),
        ("x = True", ["False"]),
        ("x = 'two'", []),
        ("'a' + x", []),
        ("save(x)", ["pass"]),
        ("super().__init__(x)", ["super()"]),
        ("if x: y = z", ["if not x:\n    y = z"]),
        ("x = y if z else w", ["y if not z else w"]),
        ("assert x < y", []),
    ],
)
def test_a_place_has_its_other_word(code, changed):
    assert changes(code) == changed


def test_what_stands_outside_of_functions_is_left(till, tmp_path):
    tree = ast.parse((tmp_path / "till.py").read_text(encoding="utf-8"))

    assert {node.lineno for node, _changed in places(tree)} == {8, 14}


def test_a_swap_changes_what_was_imported_long_ago(till, tmp_path):
    kept, box = till.tax, till.Till()
    box.coins, box.broken = [1, 2, 3], True
    assert (kept(6, 2), box.full) == (12, False)

    judging.swap(tmp_path / "till.py", 0)
    assert kept(6, 2) == 3.0

    judging.swap(tmp_path / "till.py", 1)
    assert (kept(6, 2), box.full) == (12, True)


def test_a_method_that_calls_its_parent_s_is_changed_too(tmp_path):
    """Its code holds a cell for the class; a swap without one would change nothing, unseen."""
    file = tmp_path / "drawer.py"
    lines = ("class Drawer(dict):", "    def __init__(self, coins):")
    file.write_text("\n".join((*lines, "        super().__init__(coins=coins)")), encoding="utf-8")
    space: dict[str, Any] = {}
    exec(compile(file.read_text(encoding="utf-8"), str(file), "exec"), space)  # noqa: S102
    assert space["Drawer"](3) == {"coins": 3}

    judging.swap(file, 0)

    assert space["Drawer"](3) == {}


def test_one_place_is_changed_and_no_other(till, tmp_path):
    file = tmp_path / "till.py"
    before, after = (
        ast.unparse(tree).splitlines()
        for tree in (ast.parse(file.read_text()), changed_tree(file, 0))
    )

    assert [pair for pair in zip(before, after, strict=True) if pair[0] != pair[1]] == [
        ("    return net * rate", "    return net / rate")
    ]


def test_a_draw_is_the_same_for_one_seed_and_even_over_the_rooms():
    drawn = draw(list(ROOMS), 50, seed=7)

    assert drawn == draw(list(ROOMS), 50, seed=7)
    assert drawn != draw(list(ROOMS), 50, seed=8)
    assert [sum(one.room == room for one in drawn) for room in ROOMS] == [10] * len(ROOMS)


@pytest.mark.parametrize("room", ROOMS)
def test_a_group_of_rooms_has_modules(room):
    assert files_of(room)


def test_tests_of_the_own_room_are_asked_first_and_the_quickest_of_them():
    (one,) = draw(["log"], 1, seed=1)
    took_s = {"tests/papers/a": 0.1, "tests/audit/slow": 2.0, "tests/audit/quick": 0.5}
    found = {"took_s": took_s, "lines": {one.file: {one.line: set(took_s)}}}

    task = run._task(one, found)

    assert task["tests"] == ["tests/audit/quick", "tests/audit/slow", "tests/papers/a"]


def test_a_mutant_that_no_test_reaches_counts_as_unnoticed(monkeypatch):
    said = [
        {**one, "verdict": verdict}
        for one, verdict in zip(
            _drawn(4), ("killed", "timed out", "survived", run.UNREACHED), strict=True
        )
    ]
    monkeypatch.setattr(measure, "_verdicts", lambda plan: said)
    heard: list[str] = []

    figures = measure.measure(Plan(), heard.append)

    assert (figures["noticed"].value, figures["noticed"].met) == (50.0, False)
    assert figures["noticed"].note == "2 of 4 tried"
    assert [words.split(":")[0] for words in heard] == ["survived", run.UNREACHED]


def test_a_tool_that_cannot_run_is_told(monkeypatch):
    monkeypatch.setattr("sys.executable", "/bin/false")

    with pytest.raises(MeasureError, match="could not be judged"):
        measure.measure(Plan(), lambda words: None)


def _drawn(count: int) -> list[dict[str, Any]]:
    return json.loads(json.dumps([vars(one) for one in draw(["log"], count, seed=1)]))


@pytest.mark.parametrize(
    ("asked", "verdict"),
    [
        (["good"], judging.KILLED),
        (["blind"], judging.SURVIVED),
        (["broken", "blind", "broken too"], judging.SURVIVED),
        (["blind", "broken", "good"], judging.KILLED),
        ([], judging.SURVIVED),
    ],
)
def test_a_test_that_fails_by_itself_is_not_heard(monkeypatch, tmp_path, asked, verdict):
    def judged(mutant: Any, tests: Any) -> tuple[str, int]:
        for passed, test in enumerate(tests):
            seen = test.nodeid == "good" and mutant["place"] is not None
            if seen or test.nodeid.startswith("broken"):
                return judging.KILLED, passed
        return judging.SURVIVED, len(tests)

    monkeypatch.setattr(judging, "_judge", judged)
    task = tmp_path / "task.json"
    task.write_text('{"mutants": []}')

    tests: list[Any] = [SimpleNamespace(nodeid=one) for one in asked]

    assert judging.Judge(task).verdict({"place": 1}, tests) == verdict
