"""A long set loses none of its cases: so many commits in a row run them all."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from tests.shares import is_kept


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


def test_the_two_long_walks_are_never_in_the_same_language():
    """They share the first half of their way: in each run one is French, the other English."""
    from tests.browser import test_main_path, test_whole_case  # noqa: PLC0415

    def languages(function: Any) -> list[str]:
        (marks,) = [m for m in function.pytestmark if m.name == "parametrize"]
        return [one if isinstance(one, str) else one[1] for one in marks.args[1]]

    short = languages(test_main_path.test_a_person_plays_the_whole_main_job)
    long = languages(test_whole_case.test_a_person_plays_a_case_from_intake_to_return)
    assert all(one != other for one, other in zip(short, long, strict=True))
