"""How well each explanation accounts for a keyboard's errors: marginal likelihoods, not best fits.

The errors of the keys, y = A·θ + ε, are normal: θ with a prior (how far a bridge may stand off),
ε with the doubt of one reading and with tangents that stand by chance beside their places, whose
cents grow up the keyboard as a millimetre does. Both noises are averaged over a grid.
Source: MacKay 2003, ch. 28 (evidence and its Occam factor; from memory); determinant and inverse
by the matrix lemma of Woodbury.
"""

from __future__ import annotations

from dataclasses import dataclass

from repairs.gauges.base.arrays import Floats, np

# Of one reading: from what the tuner promises to eight times as much.
READING_SHARES = tuple(1.35**step for step in range(8))
# Of the places of tangents, mm: from a careful maker to a keyboard in disorder.
PLACES_MM = (0.0, 0.06, 0.12, 0.25, 0.5, 1.0)


@dataclass(frozen=True)
class Noise:
    """A grid of noises: variance of each key, cents², shape (M, N); and what each is made of."""

    variance: Floats
    reading_cents: Floats
    place_mm: Floats


def noises(cents_per_mm: Floats, u_cents: float) -> Noise:
    """The grid for keys where a millimetre is ``cents_per_mm``, shape (N,)."""
    reading, place = (
        one.ravel()
        for one in np.meshgrid(u_cents * np.array(READING_SHARES), PLACES_MM, indexing="ij")
    )
    variance = reading[:, None] ** 2 + (place[:, None] * cents_per_mm) ** 2
    return Noise(variance, reading, place)


def log_evidence(errors: Floats, design: Floats, variance: Floats) -> Floats:
    """Return ln p(errors) for each noise, shape (M,).

    ``errors`` (N,) less what the prior expects; ``design`` (N, P) with each column times its
    prior standard deviation, P may be 0; ``variance`` (M, N).
    """
    weight = 1.0 / variance
    plain = np.sum(np.log(2.0 * np.pi * variance) + weight * errors**2, axis=1)
    if design.shape[1] == 0:
        return np.asarray(-0.5 * plain)
    gram = np.einsum("np,mn,nq->mpq", design, weight, design, optimize=True)
    gram += np.eye(design.shape[1])
    heard = (weight * errors) @ design
    solved = np.linalg.solve(gram, heard[..., None])[..., 0]
    told = np.sum(heard * solved, axis=1)
    return np.asarray(-0.5 * (plain + np.linalg.slogdet(gram)[1] - told))


def total(log_terms: Floats) -> float:
    """ln of the mean of exp(terms)."""
    most = float(log_terms.max())
    return most + float(np.log(np.mean(np.exp(log_terms - most))))


def shares(log_terms: Floats) -> Floats:
    """exp(terms) made to add up to 1."""
    weight = np.exp(log_terms - log_terms.max())
    return np.asarray(weight / weight.sum())
