"""What is said of the pages: the worst of all, beside its goal, with the page that it was."""

from __future__ import annotations

import pytest

from repairs.measures.screens import figures
from repairs.measures.screens_visits import Cold, Page, Visits

BENCH = Page("/", "bench:home", "fr", screens=1.6, cls=0.0)
CASE = Page("/cases/1/", "bench:case", "en", screens=1.9, cls=0.001)


def cold(kind: str = "bench:home", path: str = "/", **said: float) -> Cold:
    return Cold(path, kind, **{"kb": 90.0, "lcp_s": 1.2, "cls": 0.0} | said)


def met(*pages: Page, opened: Cold | None = None) -> dict[str, bool | None]:
    visits = Visits([BENCH, CASE, *pages], [opened or cold()])
    return {name: one.met for name, one in figures(visits, is_calm=True).items()}


def test_a_house_within_all_goals_meets_them():
    judged = {name: said for name, said in met().items() if said is not None}

    assert set(judged) == {"heaviest", "bench_lcp", "shift", "longest", "longest_case", "too_long"}
    assert all(judged.values())


@pytest.mark.parametrize(
    ("page", "missed"),
    [
        (Page("/parts/", "instruments:parts", "fr", screens=4.1, cls=0.0), {"longest", "too_long"}),
        (Page("/cases/2/", "bench:case", "fr", screens=2.1, cls=0.0), {"longest_case"}),
        (Page("/house/", "people:house", "en", screens=1.0, cls=0.03), {"shift"}),
    ],
)
def test_one_page_that_misses_a_goal_is_enough(page, missed):
    assert {name for name, said in met(page).items() if said is False} == missed


@pytest.mark.parametrize(
    ("opened", "missed"),
    [
        (cold(kb=151), "heaviest"),
        (cold(lcp_s=1.6), "bench_lcp"),
        (cold(cls=0.03), "shift"),
    ],
)
def test_a_page_that_is_heavy_slow_or_restless_when_cold_misses_its_goal(opened, missed):
    assert [name for name, said in met(opened=opened).items() if said is False] == [missed]


def test_the_worst_page_is_named():
    long = Page("/parts/", "instruments:parts", "fr", screens=4.1, cls=0.0)
    said = figures(Visits([BENCH, CASE, long], [cold()]), is_calm=True)

    assert said["longest"].note == "/parts/, fr"
    assert said["too_long"].note == "/parts/"
    assert said["longest_case"].note == "/cases/1/, en"


def test_seconds_of_a_busy_machine_are_shown_and_not_judged():
    said = figures(Visits([BENCH, CASE], [cold(lcp_s=9.0)]), is_calm=False)

    assert said["bench_lcp"].value == 9.0
    assert said["bench_lcp"].met is None
    assert said["heaviest"].met is True
