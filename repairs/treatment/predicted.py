"""What the reading after the work says of what was promised before it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from repairs.readings.models import Reading, Result
from repairs.readings.promises import Promise, expected_of, promises
from repairs.readings.show import FigureRow, figure_rows
from repairs.treatment.outcome_models import places_of


@dataclass(frozen=True)
class Outcome:
    """A promise beside the change that was measured. ``expected`` is for what was really done."""

    promise: Promise
    label: str
    done: float | None
    expected: float
    expected_u: float | None
    got: float
    got_u: float | None
    after: Result

    @property
    def unit(self) -> str:
        """The unit of the figure that should change."""
        return self.promise.unit

    @property
    def done_unit(self) -> str:
        """The unit of what was done, which may be another: turns of a tangent, cents of pitch."""
        return self.promise.prescription.unit

    @property
    def places(self) -> int:
        """Places after the point that the unit deserves."""
        return places_of(self.unit)


def outcomes(before: Reading, after: Reading, done: Mapping[int, float]) -> Iterator[Outcome]:
    """Each promise of the reading before that the reading after can tell the outcome of.

    ``done`` has, by prescription id, by how much it was really followed; a promise then shrinks
    or grows in that proportion.
    """
    was, now = before.latest, after.latest
    if was is None or now is None:
        return
    old = {row.key: row for row in figure_rows(before)}
    new = {row.key: row for row in figure_rows(after)}
    for promise in promises(was):
        if promise.figure in old and promise.figure in new:
            yield _outcome(promise, old[promise.figure], new[promise.figure], done, now)


def _outcome(
    promise: Promise,
    old: FigureRow,
    new: FigureRow,
    done: Mapping[int, float],
    after: Result,
) -> Outcome:
    amount = done.get(promise.prescription.pk)
    expected, expected_u = expected_of(promise, amount)
    spread = [u for u in (old.raw_u, new.raw_u) if u is not None]
    return Outcome(
        promise=promise,
        label=old.label,
        done=amount,
        expected=expected,
        expected_u=expected_u,
        got=new.raw - old.raw,
        # Two readings, two uncertainties, independent (JCGM 100:2008, 5.1.2); with one of them
        # unknown the difference has none.
        got_u=math.hypot(*spread) if len(spread) == 2 else None,
        after=after,
    )
