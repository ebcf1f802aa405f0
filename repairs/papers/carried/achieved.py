"""What work changed, computed anew: each change of a figure, each promise and what came of it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping

from django.utils.translation import gettext as _

from repairs.gauges.base.verdict import Limit
from repairs.papers.carried.document import ChangeData, PromiseData
from repairs.papers.carried.recompute import Checked, Outcome, Stated, verdict_word
from repairs.readings.actions import prescription_of
from repairs.readings.promises import Promise, expected_of, promised
from repairs.readings.sheets.base import FigureValue
from repairs.readings.show import change_of, is_sure


def changes_checked(
    changes: Iterable[ChangeData], outcomes: Mapping[int, Outcome]
) -> Iterator[Checked]:
    """By how much each figure changed, and the verdict after it."""
    for one in changes:
        last = _figure_of(outcomes, one.after if one.after is not None else one.before, one.figure)
        first = _figure_of(outcomes, one.before, one.figure) if one.after is not None else None
        yield _checked_of_work(
            "change",
            one,
            label=str(last.label) if last else one.figure,
            gauge=one.gauge,
            stated={"change": one.change, "sure": one.sure, "verdict": one.verdict},
            recomputed=_change(one, first, last) if last else None,
        )


def _figure_of(
    outcomes: Mapping[int, Outcome], number: int | None, figure: str
) -> FigureValue | None:
    outcome = outcomes.get(number) if number is not None else None
    return outcome.figures.get(figure) if outcome else None


def _change(one: ChangeData, first: FigureValue | None, last: FigureValue) -> Stated:
    change = change_of(first.value, last.value, one.unit) if first else None
    return {
        "change": change,
        "sure": is_sure(change, first.u, last.u) if first and change is not None else None,
        "verdict": verdict_word(last, Limit(one.lower, one.upper, one.unit, one.source)),
    }


def promises_checked(
    promises: Iterable[PromiseData], outcomes: Mapping[int, Outcome]
) -> Iterator[Checked]:
    """What each prescription promised, for what was really done, and what came."""
    for one in promises:
        before = _figure_of(outcomes, one.before, one.figure)
        after = _figure_of(outcomes, one.after, one.figure)
        promise = _promise_of(one, outcomes.get(one.before))
        yield _checked_of_work(
            "promise",
            one,
            label=str(before.label) if before else one.figure,
            gauge=outcomes[one.before].reading.gauge if one.before in outcomes else "",
            stated={
                "expected": one.expected,
                "expected_u": one.expected_u,
                "got": one.got,
                "got_u": one.got_u,
            },
            recomputed=_kept(one, promise, before, after),
        )


def _promise_of(one: PromiseData, outcome: Outcome | None) -> Promise | None:
    if outcome is None or outcome.computed is None:
        return None
    computed = outcome.computed
    rows = [prescription_of(line, place) for place, line in enumerate(computed.advice, 1)]
    figures = {figure.key: figure.value for figure in computed.figures}
    wanted = (one.advice, one.target, one.figure)
    stated = {one.key: one for one in outcome.reading.figures}
    limits = {key: (one.lower, one.upper) for key, one in stated.items()}
    us = {figure.key: figure.u for figure in computed.figures}
    for promise in promised(rows, computed.output, figures, limits, us):
        row = promise.prescription
        if (row.code, row.target, promise.figure) == wanted:
            return promise
    return None


def _kept(
    one: PromiseData, promise: Promise | None, before: FigureValue | None, after: FigureValue | None
) -> Stated | None:
    if promise is None or before is None or after is None:
        return None
    expected, u = expected_of(promise, one.done.value if one.done else None)
    both = before.u is not None and after.u is not None
    return {
        "expected": expected,
        "expected_u": u,
        "got": after.value - before.value,
        "got_u": math.hypot(before.u or 0.0, after.u or 0.0) if both else None,
    }


def _checked_of_work(
    kind: str,
    one: ChangeData | PromiseData,
    *,
    label: str,
    gauge: str,
    stated: Stated,
    recomputed: Stated | None,
) -> Checked:
    why = "" if recomputed else _("A reading that it rests on could not be computed anew.")
    return Checked(kind, one.work, gauge, one.figure, label, one.unit, stated, recomputed, why)
