"""Which keys agree on one scale: a start that half of them cannot bend, and who is set aside.

Four readings of a keyboard are tried: the error follows nut and bridge only, or the press of the
finger too; and what is left scatters alike on all keys, or as tangents do that stand beside their
places. The one that explains most keys, by a likelihood with broad ends, says which keys agree.
Source: least median of squares with reweighting, Rousseeuw and Leroy 1987 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product

from repairs.gauges.base.arrays import Floats, Indices, NDArray, np

CUT = 3.0  # robust standard deviations: three keys in a thousand are set aside without cause
_ROUNDS = 20
# What a reading with one more unknown must explain better, in natural logarithms.
_DEARER = 4.0
_TAILS = 4.0  # degrees of freedom of Student's distribution: broad ends


@dataclass(frozen=True)
class Kept:
    """The keys that agree, and those that do not; the scatter of the former, (N,), cents."""

    indices: Indices
    aside: tuple[int, ...]
    scatter: Floats
    likelihood: float

    def with_those(self, agree: NDArray[np.bool_]) -> Kept:
        """With the keys that are found to agree after all."""
        agree = agree.copy()
        agree[self.indices] = True
        aside = tuple(int(i) for i in np.flatnonzero(~agree))
        return Kept(np.flatnonzero(agree), aside, self.scatter, self.likelihood)


def keep(ratios: Floats, off: Floats, u_cents: float, per_mm: Floats, shape: Floats) -> Kept:
    """Return which keys of N agree; all arrays have shape (N,).

    ``per_mm`` are the cents of a millimetre at each key, ``shape`` what pressing adds.
    """
    found: Kept | None = None
    line = np.column_stack([np.ones_like(ratios), ratios])
    designs = (line, np.column_stack([line, shape]))
    lefts = [start(design, off) for design in designs]
    for is_pressed, is_placed in product((False, True), repeat=2):
        design, left = designs[is_pressed], lefts[is_pressed]
        one = _keep(design, off, left, u_cents, per_mm if is_placed else None)
        better = one.likelihood - _DEARER * (is_pressed + is_placed)
        if found is None or better > found.likelihood:
            found = Kept(one.indices, one.aside, one.scatter, better)
    if found is None:
        raise RuntimeError("no reading of the keyboard was tried")
    return found


def _keep(design: Floats, off: Floats, left: Floats, u_cents: float, per_mm: Floats | None) -> Kept:
    """``left`` is what the start leaves of each key."""
    kept: Indices = np.arange(0)
    sigma = np.full(len(off), u_cents)
    for _ in range(_ROUNDS):
        sigma = _robust(left, u_cents, per_mm, design.shape[1])
        again = np.flatnonzero(np.abs(left) <= CUT * sigma)
        if np.array_equal(again, kept) or len(again) <= design.shape[1]:
            break
        kept = again
        weight = (1.0 / sigma[kept])[:, None]
        solved, *_ = np.linalg.lstsq(design[kept] * weight, off[kept] * weight[:, 0], rcond=None)
        left = off - design @ solved
    aside = tuple(int(i) for i in np.setdiff1d(np.arange(len(off)), kept))
    return Kept(kept, aside, sigma, _likelihood(left / sigma, sigma))


def _likelihood(z: Floats, sigma: Floats) -> float:
    """ln of Student's density of all keys, but for a constant."""
    each = -0.5 * (_TAILS + 1.0) * np.log1p(z**2 / _TAILS) - np.log(sigma)
    return float(each.sum())


def _robust(left: Floats, u_cents: float, per_mm: Floats | None, unknowns: int) -> Floats:
    """The scatter that half of all deviations tell, not below one reading's own doubt; (N,)."""
    more = 1.4826 * (1.0 + 5.0 / (len(left) - unknowns))
    if per_mm is None:
        middle = more * float(np.median(np.abs(left)))
        return np.full(len(left), max(middle, u_cents))
    place_mm = more * float(np.median(np.abs(left) / per_mm))
    return np.asarray(np.sqrt(u_cents**2 + (place_mm * per_mm) ** 2))


def start(design: Floats, off: Floats) -> Floats:
    """Deviations, (N,), from the fit through the few keys that leaves the least middle one.

    ``design`` (N, P): as many keys as it has columns are gone through, in every choice.
    """
    count, unknowns = design.shape
    chosen = _choices(count, unknowns)
    solved = np.linalg.solve(design[chosen] + 1e-12 * np.eye(unknowns), off[chosen][..., None])[
        ..., 0
    ]
    left = off[None, :] - solved @ design.T
    best = int(np.argmin(np.median(np.abs(left), axis=1)))
    return np.asarray(left[best])


def _choices(count: int, size: int) -> Indices:
    """Every choice of ``size`` of ``count`` keys, 2 or 3; of many keys every second or third."""
    step = 1 if size < 3 else math.ceil(count / 24)
    keys = np.arange(0, count, step)
    grids = np.meshgrid(*[keys] * size, indexing="ij")
    flat = np.stack([one.ravel() for one in grids], axis=1)
    return flat[np.all(np.diff(flat, axis=1) > 0, axis=1)]
