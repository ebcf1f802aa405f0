"""Which temperament does this keyboard want to be? The likelihood of each, before any move.

Each temperament of the library, and the regular ones whose fifths are narrowed by a share of the
syntonic comma, with the open string as its root, its fifth or its fourth. Bridge, nut and open
string are left free within what is usual, and single wrong tangents count little: Student's
density with 4 degrees of freedom, fitted by iterated weights.
Source: Lange, Little and Taylor 1989 (robust modelling by the t distribution; from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.keys import evidence
from repairs.gauges.keys.keyboard import CENTS_PER_E
from repairs.gauges.keys.scalefit import (
    LEAST_KEYS,
    PRIOR_BRIDGE_MM,
    PRIOR_NUT_MM,
    PRIOR_OFFSET_CENTS,
)
from repairs.gauges.keys.temperament import (
    PER_OCTAVE,
    SYNTONIC_COMMA,
    TEMPERAMENTS,
    Scale,
    chain,
)

# Shares of the syntonic comma; none is Pythagorean, a quarter the usual meantone: both are in the
# library.
SHARES = (Fraction(1, 8), Fraction(1, 6), Fraction(1, 5), Fraction(2, 7), Fraction(1, 3))
FAMILY: Mapping[str, Scale] = {
    f"comma_{share.numerator}_{share.denominator}": Scale(
        f"comma_{share.numerator}_{share.denominator}",
        f"fifths narrowed by {share} of the syntonic comma, E♭ to G♯",
        chain((float(share) * SYNTONIC_COMMA,) * 8, (float(share) * SYNTONIC_COMMA,) * 3),
    )
    for share in SHARES
}
ROOTS = (0, 5, 7)  # the open string is the drone's root, its fourth or its fifth
SURE_PCT = 95.0
# Wider than this no temperament is recognised: half of what parts equal from just thirds.
MOST_SCATTER_CENTS = 7.0
_PLACE_MM = 0.1  # of a careful maker
_SHARES_OF_U = (1.0, 2.0, 4.0, 8.0)
_TAILS, _ROUNDS = 4.0, 12


@dataclass(frozen=True)
class Candidate:
    """One temperament with its open string, and its share of all likelihood."""

    name: str
    open_step: int
    pct: float


@dataclass(frozen=True)
class AsFound:
    """The likeliest ``candidates`` first; ``scatter_cents`` is what the first leaves (median).

    ``is_known``: it is nearly certain, and leaves little. ``wanted_pct`` is the share of the
    temperament that was asked for.
    """

    candidates: tuple[Candidate, ...]
    wanted_pct: float
    scatter_cents: float
    is_known: bool


@dataclass(frozen=True)
class Read:
    """What was read of one string: cents above the open one, (N,), NaN where it was not."""

    cents: Floats
    length_mm: float
    u_cents: float
    is_open_read: bool


def library(wanted: Scale, open_step: int) -> list[tuple[Scale, int]]:
    """Every temperament with every root; the wanted one stands first."""
    found = [(wanted, open_step)]
    for scale in (*TEMPERAMENTS.values(), *FAMILY.values()):
        # Twelve equal steps are the same from every root.
        roots = (open_step,) if scale.name == "equal" else ROOTS
        is_other = scale.name != wanted.name
        found += [(scale, root) for root in roots if is_other or root != open_step]
    return found


def as_found(
    keys: Sequence[int], read: Sequence[Read], wanted: Scale, open_step: int
) -> AsFound | None:
    """Return what the keyboard is tempered to; None with fewer than ``LEAST_KEYS`` keys read."""
    if max((int(np.isfinite(one.cents).sum()) for one in read), default=0) < LEAST_KEYS:
        return None
    known = library(wanted, open_step)
    cents = np.array([[scale.above(root, key) for key in keys] for scale, root in known])
    logs, left = np.zeros(len(known)), []
    for one in read:
        log, beside = _likelihoods(one, cents)
        logs += log
        left.append(beside)
    shares = 100.0 * evidence.shares(logs)
    order = np.argsort(-shares, kind="stable")
    best = int(order[0])
    scatter = float(np.max([one[best] for one in left]))
    candidates = tuple(
        Candidate(known[i][0].name, known[i][1], float(shares[i])) for i in order[:3].tolist()
    )
    is_known = candidates[0].pct >= SURE_PCT and scatter <= MOST_SCATTER_CENTS
    return AsFound(candidates, float(shares[0]), scatter, is_known)


def _likelihoods(one: Read, cents: Floats) -> tuple[Floats, Floats]:
    """ln of the likelihood of each scale (H,), and the median deviation that it leaves (H,)."""
    at = np.isfinite(one.cents)
    errors = one.cents[at] - cents[:, at]
    ratios = 2.0 ** (one.cents[at] / PER_OCTAVE)
    nut = PRIOR_NUT_MM / one.length_mm if one.is_open_read else PRIOR_OFFSET_CENTS / CENTS_PER_E
    prior = np.array([nut, PRIOR_BRIDGE_MM / one.length_mm])
    design = CENTS_PER_E * np.column_stack([np.ones(at.sum()), 1.0 - ratios]) * prior
    place = _PLACE_MM * CENTS_PER_E * ratios / one.length_mm
    sigma = np.sqrt((one.u_cents * np.array(_SHARES_OF_U)[:, None]) ** 2 + place**2)
    theta = _fitted(errors, design, sigma)
    left = errors[:, None, :] - theta @ design.T
    z = left / sigma
    logs = np.sum(-0.5 * (_TAILS + 1.0) * np.log1p(z**2 / _TAILS) - np.log(sigma), axis=2)
    logs -= 0.5 * np.sum(theta**2, axis=2)
    best = np.argmax(logs, axis=1)
    rows = np.arange(len(errors))
    return logs[rows, best], np.median(np.abs(left[rows, best]), axis=1)


def _fitted(errors: Floats, design: Floats, sigma: Floats) -> Floats:
    """The parameters, in units of their prior, shape (H, M, 2), by iterated weights."""
    theta = np.zeros((len(errors), len(sigma), 2))
    for _ in range(_ROUNDS):
        z = (errors[:, None, :] - theta @ design.T) / sigma
        weight = (_TAILS + 1.0) / (_TAILS + z**2) / sigma**2
        gram = np.einsum("np,hmn,nq->hmpq", design, weight, design, optimize=True) + np.eye(2)
        heard = (weight * errors[:, None, :]) @ design
        theta = np.linalg.solve(gram, heard[..., None])[..., 0]
    return theta
