"""Minimum zones and inscribed circles of thousands of wheels at once, as in `roundness`."""

from __future__ import annotations

from repairs.gauges.base.arrays import Floats, Indices, NDArray, np
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel.inscribed import ACROSS
from repairs.gauges.wheel.roundness import EPS, GAINED, MOST_STEPS, TINY


def zones(cos: Floats, sin: Floats, r: Floats) -> Floats:
    """Return RONt(MZCI), shape (W,), of readings of shape (W, N), N >= 4, in the order of a turn.

    The exchange of `roundness.minimum_zone`, all wheels in step. Raises GaugeInputError
    ``no_answer`` when it does not end.
    """
    wheels, count = r.shape
    held = np.tile(np.arange(4) * count // 4, (wheels, 1))
    half = np.zeros(wheels)
    floor = TINY * np.abs(r).max(axis=1)
    going = np.arange(wheels)
    for _step in range(MOST_STEPS):
        c, s, v = cos[going], sin[going], r[going]
        level, off = _zone_off(held[going], c, s, v)
        gained = np.abs(level) > half[going] * GAINED
        half[going] = np.maximum(half[going], np.abs(level))
        worst = np.abs(off).argmax(axis=1)
        far = np.take_along_axis(off, worst[:, None], 1)[:, 0]
        held_already = (held[going] == worst[:, None]).any(axis=1)
        outside = np.abs(far) > np.abs(level) * GAINED + floor[going]
        more = outside & ~held_already & (gained | (_step == 0))
        held[going] = _exchange_zones(held[going], worst, (far > 0) == (level >= 0))
        going = going[more]
        if not len(going):
            return 2 * half
    raise GaugeInputError("no_answer", field="readings", why="a minimum zone was not found")


def _zone_off(held: Indices, cos: Floats, sin: Floats, r: Floats) -> tuple[Floats, Floats]:
    """Level (w,) at the four held readings, and what the limaçon through them leaves (w, n)."""
    c, s, v = (np.take_along_axis(of, held, 1) for of in (cos, sin, r))
    areas = np.stack([_area(c, s, *others) for others in _OTHERS], axis=1)
    signs = np.array([1.0, -1.0, 1.0, -1.0])
    level = (areas * signs * v).sum(axis=1) / areas.sum(axis=1)
    apart = (areas.argmax(axis=1)[:, None] + np.arange(1, 4)) % 4
    values = v - level[:, None] * signs
    c, s, values = (np.take_along_axis(of, apart, 1) for of in (c, s, values))
    return level, r - _planes(c, s, values, cos, sin)


_OTHERS = ((1, 2, 3), (0, 2, 3), (0, 1, 3), (0, 1, 2))


def _area(c: Floats, s: Floats, i: int, j: int, k: int) -> Floats:
    return (c[:, j] - c[:, i]) * (s[:, k] - s[:, i]) - (c[:, k] - c[:, i]) * (s[:, j] - s[:, i])


def _planes(c: Floats, s: Floats, v: Floats, cos: Floats, sin: Floats) -> Floats:
    """Limaçons through three values each, read at all places: shape (w, n)."""
    c1, s1, v1 = (of[:, 1] - of[:, 0] for of in (c, s, v))
    c2, s2, v2 = (of[:, 2] - of[:, 0] for of in (c, s, v))
    area = c1 * s2 - c2 * s1
    x, y = (v1 * s2 - v2 * s1) / area, (c1 * v2 - c2 * v1) / area
    mean = v[:, 0] - x * c[:, 0] - y * s[:, 0]
    return mean[:, None] + x[:, None] * cos + y[:, None] * sin


def _exchange_zones(held: Indices, worst: Indices, as_even: NDArray[np.bool_]) -> Indices:
    after = (held < worst[:, None]).sum(axis=1)
    leaving = np.where((after % 2 == 0) == as_even, after, after - 1) % 4
    return _put(held, leaving, worst)


def _put(held: Indices, leaving: Indices, worst: Indices) -> Indices:
    new = held.copy()
    np.put_along_axis(new, leaving[:, None], worst[:, None], 1)
    return np.sort(new, axis=1)


def inscribed_means(cos: Floats, sin: Floats, r: Floats) -> Floats:
    """Return the mean of the largest limaçon inside of each wheel, shape (W,), NaN for none.

    The exchange of `roundness.inscribed`, all wheels in step; errors as `zones`.
    """
    held, going = _first_threes(cos, sin, r)
    means = np.full(len(r), np.nan)
    floor = EPS * np.abs(r).max(axis=1)
    for _step in range(MOST_STEPS):
        if not len(going):
            return means
        now = held[going]
        c, s, v = (np.take_along_axis(of[going], now, 1) for of in (cos, sin, r))
        off = r[going] - _planes(c, s, v, cos[going], sin[going])
        zero = np.zeros(len(going))[:, None]
        means[going] = _planes(c, s, v, zero, zero)[:, 0]
        worst = off.argmin(axis=1)
        least = np.take_along_axis(off, worst[:, None], 1)[:, 0]
        more = (least < -floor[going]) & ~(now == worst[:, None]).any(axis=1)
        going, now, worst = going[more], now[more], worst[more]
        held[going] = _exchange_threes(now, worst, cos[going], sin[going])
    raise GaugeInputError("no_answer", field="readings", why="an inscribed circle was not found")


def _first_threes(cos: Floats, sin: Floats, r: Floats) -> tuple[Indices, Indices]:
    """The three to start with, shape (w, 3), and which wheels have such three."""
    count = r.shape[1]
    first = r.argmin(axis=1)[:, None]
    round_from = (first + np.arange(1, count)) % count
    c0, s0 = (np.take_along_axis(of, first, 1) for of in (cos, sin))
    c, s = (np.take_along_axis(of, round_from, 1) for of in (cos, sin))
    across = c0 * s - s0 * c
    beyond = across <= ACROSS
    stop = beyond.argmax(axis=1)[:, None]
    place = np.take_along_axis(round_from, stop, 1)
    before = np.take_along_axis(round_from, stop - 1, 1)
    cb, sb, cp, sp = (
        np.take_along_axis(of, at, 1)[:, 0] for at in (before, place) for of in (cos, sin)
    )
    opposite = np.take_along_axis(across, stop, 1) >= -ACROSS
    half_is_open = (opposite & (stop == count - 2))[:, 0]
    usable = beyond.any(axis=1) & (stop[:, 0] > 0) & ~half_is_open & (cb * sp - sb * cp > ACROSS)
    held = np.sort(np.concatenate([first, before, place], axis=1), axis=1)
    return held, np.flatnonzero(usable)


def _exchange_threes(held: Indices, worst: Indices, cos: Floats, sin: Floats) -> Indices:
    after = (held < worst[:, None]).sum(axis=1)
    third = np.take_along_axis(held, ((after + 1) % 3)[:, None], 1)
    (ct, cw), (st, sw) = (
        (np.take_along_axis(of, third, 1)[:, 0], np.take_along_axis(of, worst[:, None], 1)[:, 0])
        for of in (cos, sin)
    )
    leaving = np.where(ct * sw - st * cw >= 0, after - 1, after) % 3
    return _put(held, leaving, worst)
