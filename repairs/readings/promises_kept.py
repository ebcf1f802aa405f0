"""What the next reading says of a promise, within the uncertainty of both readings."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from repairs.gauges.base.verdict import K
from repairs.readings.models import Reading
from repairs.readings.promises import Promise, expected_of, promises
from repairs.readings.show import FigureRow, figure_rows


@dataclass(frozen=True)
class Kept:
    """A promise beside what the next reading found, as values of the figure.

    ``word``: ``inside`` as promised, ``outside`` otherwise, ``not_judged`` where an uncertainty is
    not known. ``short`` is what lacks of the change that was promised; less than 0, it went too
    far.
    """

    figure: FigureRow
    promise: Promise
    promised: float
    reached: float
    word: str
    short: float


def kept(before: Reading, after: Reading) -> Iterator[Kept]:
    """Each promise of the reading before of which the reading after can tell."""
    if before.latest is None or after.latest is None:
        return
    old = {row.key: row for row in figure_rows(before)}
    new = {row.key: row for row in figure_rows(after)}
    for promise in promises(before.latest):
        was, now = old.get(promise.figure), new.get(promise.figure)
        if was is not None and now is not None:
            yield _kept(promise, was, now)


def _kept(promise: Promise, was: FigureRow, now: FigureRow) -> Kept:
    expected, u = expected_of(promise, None)
    got = now.raw - was.raw
    # Two readings, two uncertainties, independent (JCGM 100:2008, 5.1.2).
    us = [one for one in (was.raw_u, now.raw_u) if one is not None]
    got_u = math.hypot(*us) if len(us) == 2 else None
    word, short = judged(expected, u, got, got_u, to_limit=promise.to_limit)
    return Kept(now, promise, was.raw + expected, now.raw, word, short)


def judged(
    expected: float, u: float | None, got: float, got_u: float | None, *, to_limit: bool
) -> tuple[str, float]:
    """Whether what came is what was promised, within twice the joint uncertainty; what lacks.

    JCGM 100:2008, 5.1.2, with k = 2. The way to a limit may be gone further.
    """
    short = math.copysign(1.0, expected) * (expected - got) if expected else abs(got)
    if got_u is None or (u is None and not to_limit):
        return "not_judged", short
    joint = K * math.hypot(u or 0.0, got_u)
    is_kept = short <= joint if to_limit else abs(got - expected) <= joint
    return ("inside" if is_kept else "outside"), short
