"""For how long each row of a record speaks: time is averaged and counted, not rows.

A logger set from an hour to ten minutes writes six times as many rows, and its holes none at all.
Each row stands for half of the way to either neighbour; over a hole, for half of a usual step.
"""

from __future__ import annotations

from dataclasses import dataclass

from repairs.gauges.base.arrays import Floats, NDArray, Seconds, np

HOLE = 1.5  # steps of more than this many usual ones: a row is missing
NEIGHBOURS = 5  # steps on one side that tell what is usual there
FEWEST = 3  # of them: two long steps in a row are two holes, three are another setting


@dataclass(frozen=True)
class Spans:
    """``weight_s`` (N,): seconds for which each row speaks; of each step (N−1,) whether it is a
    hole, and the seconds of it for which no row speaks."""

    weight_s: Floats
    is_hole: NDArray[np.bool_]
    lost_s: Floats


def spans(time_s: Seconds) -> Spans:
    """Return how long each row speaks for; ``time_s`` grows strictly, N >= 2."""
    steps = np.diff(time_s).astype(np.float64)
    usual = usual_steps(steps)
    is_hole = steps > HOLE * usual
    half = np.where(is_hole, usual, steps) / 2.0
    weight = np.concatenate((half[:1], half)) + np.concatenate((half, half[-1:]))
    return Spans(weight, is_hole, np.where(is_hole, steps - usual, 0.0))


def usual_steps(steps: Floats) -> Floats:
    """Return the usual step where each step lies: the longer of the medians on its two sides.

    Beside the row where a logger was set from ten minutes to an hour both are usual. A side of
    fewer than three steps tells nothing; where both do, the median of all others counts.
    """
    if steps.max() <= HOLE * steps.min():
        return steps
    usual = np.full(len(steps), np.nan)
    if len(steps) > 2 * NEIGHBOURS:
        windows = np.lib.stride_tricks.sliding_window_view(steps, NEIGHBOURS)
        middle = np.sort(windows, axis=1)[:, NEIGHBOURS // 2]
        inside = slice(NEIGHBOURS, len(steps) - NEIGHBOURS)
        usual[inside] = np.maximum(middle[: -NEIGHBOURS - 1], middle[NEIGHBOURS + 1 :])
    for place in np.flatnonzero(np.isnan(usual)):
        usual[place] = _usual_at_an_end(steps, int(place))
    return usual


def _usual_at_an_end(steps: Floats, place: int) -> float:
    sides = (steps[max(0, place - NEIGHBOURS) : place], steps[place + 1 : place + 1 + NEIGHBOURS])
    told = [float(np.median(side)) for side in sides if len(side) >= FEWEST]
    if told:
        return max(told)
    others = np.delete(steps, place)
    return float(np.median(others)) if len(others) else float(steps[place])


def quantiles(values: Floats, weight_s: Floats, shares: tuple[float, ...]) -> Floats:
    """Return the values below which the air was for each share (0…1) of the time.

    Between two rows it runs straight, from the least value at 0 to the greatest at 1: with equal
    weights that is NumPy’s (Hyndman & Fan 1996, type 7).
    """
    if weight_s.min() == weight_s.max():
        return np.asarray(np.quantile(values, shares))
    turn = np.argsort(values, kind="stable")
    ordered, weight = values[turn], weight_s[turn]
    middle = np.cumsum(weight) - weight / 2.0
    return np.asarray(np.interp(shares, (middle - middle[0]) / (middle[-1] - middle[0]), ordered))
