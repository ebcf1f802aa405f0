"""The largest circle inside and the smallest outside of polar readings: MICI and MCCI."""

from __future__ import annotations

from dataclasses import replace

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel.roundness import EPS, GAINED, MOST_STEPS, Touch, plane

ACROSS = 1e-9  # sine of an angle, below which two places are opposite or the same


def inscribed(cos: Floats, sin: Floats, r: Floats) -> Touch | None:
    """Return the largest limaçon that no reading lies inside of (MICI), or None.

    Parameters as for `minimum_zone`, N >= 3. None when the readings leave half of the turn or more
    open: then nothing bounds the circle on that side. Its centre need not be unique; the radius is.
    """
    c, s, v = cos.tolist(), sin.tolist(), r.tolist()
    support = _first_three(v.index(min(v)), c, s)
    if support is None:
        return None
    floor = EPS * max(map(abs, v))
    for step in range(1, MOST_STEPS):
        mean, x, y = plane(support, c, s, [v[place] for place in support])
        off = r - (mean + x * cos + y * sin)
        worst = int(off.argmin())
        if off[worst] >= -floor or worst in support:
            return Touch(mean, x, y, 0.0, tuple(support), _shares(support, c, s), step)
        support = _exchange_triangle(support, worst, c, s)
    raise GaugeInputError("no_answer", field="readings", why="the inscribed circle was not found")


def circumscribed(cos: Floats, sin: Floats, r: Floats) -> Touch | None:
    """Return the smallest limaçon that no reading lies outside of (MCCI); as `inscribed`."""
    found = inscribed(cos, sin, -r)
    if found is None:
        return None
    return replace(found, mean=-found.mean, x=-found.x, y=-found.y)


def least_deviation(touch: Touch, cos: Floats, sin: Floats, r: Floats) -> Touch:
    """Return the inscribed or circumscribed limaçon, of equal size, with the least deviation.

    When two opposite readings alone hold it, its centre may move across their line as far as no
    other reading is passed; of all these centres the one is taken where the largest deviation (what
    has to be cut away) is least: the lowest point of straight lines in one unknown, found by
    crossing the two that hold it (Kelley 1960). Otherwise ``touch`` itself.
    """
    if not touch.is_free:
        return touch
    first = max(zip(touch.weights, touch.support, strict=True))[1]
    across = sin * cos[first] - cos * sin[first]
    off = touch.deviations(cos, sin, r)
    side = 1.0 if off.max() >= -off.min() else -1.0  # circumscribed: readings lie inside
    move = side * _lowest(np.maximum(side * off, 0.0), across)
    x, y = touch.x - move * float(sin[first]), touch.y + move * float(cos[first])
    return replace(touch, x=x, y=y)


def _lowest(off: Floats, across: Floats) -> float:
    """The t where the largest of ``off - t·across`` is least, while none of them is below 0."""
    ahead, behind = across > ACROSS, across < -ACROSS
    low = float((off[behind] / across[behind]).max())
    high = float((off[ahead] / across[ahead]).min())
    left, right = int((off - low * across).argmax()), int((off - high * across).argmax())
    if across[left] <= 0:
        return low
    if across[right] >= 0:
        return high
    for _step in range(MOST_STEPS):
        t = float((off[left] - off[right]) / (across[left] - across[right]))
        top = int((off - t * across).argmax())
        if off[top] - t * across[top] <= (off[left] - t * across[left]) * GAINED:
            return t
        left, right = (top, right) if across[top] > 0 else (left, top)
    raise GaugeInputError("no_answer", field="readings", why="the best centre was not found")


def _first_three(first: int, c: list[float], s: list[float]) -> list[int] | None:
    """The innermost reading and the two on either side of the place opposite to it."""
    count = len(c)
    before = first
    for place in (*range(first + 1, count), *range(first)):
        across = c[first] * s[place] - s[first] * c[place]
        if across <= ACROSS:
            break
        before = place
    else:
        return None
    half_is_open = across >= -ACROSS and (place + 1) % count == first
    if before == first or half_is_open or c[before] * s[place] - s[before] * c[place] <= ACROSS:
        return None
    return sorted([first, before, place])


def _exchange_triangle(support: list[int], worst: int, c: list[float], s: list[float]) -> list[int]:
    """Take in the worst reading so that the new three still stand round the centre."""
    after = sum(place < worst for place in support)
    third = support[(after + 1) % 3]
    across = c[third] * s[worst] - s[third] * c[worst]
    leaving = (after - 1 if across >= 0 else after) % 3
    return sorted([place for p, place in enumerate(support) if p != leaving] + [worst])


def _shares(support: list[int], c: list[float], s: list[float]) -> tuple[float, ...]:
    """Weights with which the three values give the mean (their places then balance)."""
    i, j, k = support
    shares = [c[a] * s[b] - c[b] * s[a] for a, b in ((j, k), (k, i), (i, j))]
    total = sum(shares)
    return tuple(share / total for share in shares)
