"""A long set loses none of its cases: so many commits in a row run them all."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from tests.shares import is_kept
from tests.together import scope_of


def case_of(*marks: Any) -> Any:
    marker = SimpleNamespace(args=marks) if marks else None
    return SimpleNamespace(get_closest_marker=lambda name: marker if name == "share" else None)


@pytest.mark.parametrize("n", [2, 3, 5])
def test_commits_in_a_row_run_every_case_once(n):
    for place in range(7):
        ran = [turn for turn in range(40, 40 + n) if is_kept(case_of(n), place, turn)]

        assert len(ran) == 1


def test_all_run_when_no_commit_chooses():
    assert all(is_kept(case_of(3), place, None) for place in range(4))


def test_what_is_no_long_set_always_runs():
    assert all(is_kept(case_of(), place, turn) for place in range(4) for turn in range(4))


def test_each_run_plays_one_of_the_six_long_walks_and_six_in_a_row_play_them_all():
    """Two ways through the house, in two and in four windows; they share the first half."""
    from tests.browser import test_main_path, test_whole_case  # noqa: PLC0415

    walks = {
        test_main_path.test_a_person_plays_the_whole_main_job: 2,
        test_whole_case.test_a_person_plays_a_case_from_intake_to_return: 4,
    }
    played = [
        [
            (walk, place)
            for walk, windows in walks.items()
            for place in range(windows)
            if _is_played(walk, place, turn)
        ]
        for turn in range(40, 46)
    ]

    assert [len(one) for one in played] == [1] * 6
    assert len({one[0] for one in played}) == 6
    assert len(test_whole_case.WINDOWS) == 4


def _is_played(walk: Any, place: int, turn: int) -> bool:
    (mark,) = [m for m in walk.pytestmark if m.name == "share"]
    return is_kept(case_of(*mark.args), place, turn)


@pytest.mark.parametrize(
    ("nodeid", "scope"),
    [
        ("tests/a/test_b.py::test_c[x::y-1]", "tests/a/test_b.py::test_c[x::y-1]"),
        ("tests/a/test_b.py::TestD::test_c[x::y]", "tests/a/test_b.py::TestD"),
        ("tests/a/test_b.py::TestD::test_e", "tests/a/test_b.py::TestD"),
    ],
)
def test_the_tests_of_a_class_are_dealt_out_together(nodeid, scope):
    assert scope_of(nodeid) == scope
