"""Every two causes of a kind are told apart by something: a check by eye and hand, or a sheet."""

from __future__ import annotations

import itertools
import math

import pytest

from repairs.causes.tables import plain, table_of
from repairs.gauges.causes.density import Spec, density, draw
from repairs.gauges.causes.net import check_times
from repairs.gauges.causes.table import Cause, Figure, Table

KINDS = {"wheel_fiddle": "vielle_french", "violin": "violin", "guitar": "guitar"}
TEN = 10.0  # times as likely, under one as under the other, in the middle of the logarithm
POINTS = 24
# Pairs that nothing tells apart so well, each with why. None is known.
ALIKE: dict[frozenset[str], str] = {}


def apart(table: Table, one: Cause, other: Cause) -> float:
    """The best that a check or a figure does: how many times likelier it is under one of them."""
    by_check = check_times(table, found=True) if not (one.check_by and other.check_by) else 1.0
    figures = [
        table.figures[key]
        for key in {*one.readings, *other.readings}
        if table.figures[key].gauge in table.looks
    ]
    return max([by_check, *(by_figure(figure, one, other) for figure in figures)])


def by_figure(figure: Figure, one: Cause, other: Cause) -> float:
    first, second = (cause.readings.get(figure.key, figure.healthy) for cause in (one, other))
    return max(likelier(first, second, figure.span), likelier(second, first, figure.span))


def likelier(one: Spec, other: Spec, span: float) -> float:
    """The middle of how many times likelier a value is, over values that the first one gives."""
    values = [draw(one, (k + 0.5) / POINTS) for k in range(POINTS)]
    logs = [math.log(density(one, v, 0.0, span) / density(other, v, 0.0, span)) for v in values]
    return math.exp(sum(logs) / POINTS)


@pytest.mark.parametrize("name", KINDS)
def test_each_two_causes_are_told_apart_by_a_check_or_a_sheet_or_it_is_said_why_not(name):
    table = table_of(KINDS[name])
    pairs = itertools.combinations(table.causes, 2)

    alike = {
        frozenset({one.key, other.key}): apart(table, one, other)
        for one, other in pairs
        if apart(table, one, other) < TEN
    }

    assert alike.keys() == ALIKE.keys() & alike.keys(), alike


def test_two_causes_that_nothing_tells_apart_would_be_found():
    table = table_of(KINDS["wheel_fiddle"])
    oval = table.cause("wheel_oval")

    assert apart(table, oval, oval) == pytest.approx(1.0)


@pytest.mark.parametrize("name", KINDS)
def test_a_cause_that_can_be_put_out_of_the_way_says_how_and_what_it_costs(name):
    rows = plain(name)["causes"]

    for row in rows:
        assert ("undo" in row) == ("undo_minutes" in row), row["key"]
        if "undo" in row:
            words = row["undo"]
            assert 0 < row["undo_minutes"] <= 10
            assert words["en"].endswith(".") and words["fr"].endswith(".")
            assert words["en"] != words["fr"] != row["check"]["fr"]
    assert sum("undo" in row for row in rows) >= len(rows) / 3
