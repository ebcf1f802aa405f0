"""Closed cases sharpen the priors: a Beta distribution of each cause's share.

Each prior starts as Beta(20·p, 20·(1 − p)): practice, with the weight of 20 cases. Every closed
case in which somebody said what it was adds one to its causes and one to the rest of the others.
Source: conjugate prior of a binomial share (Gelman et al., *Bayesian Data Analysis*, 2.4).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.causes.table import Table

PRACTICE_CASES = 20.0


@dataclass(frozen=True)
class Counts:
    """In how many closed cases it was this cause, of how many in which a cause was confirmed."""

    confirmed: int
    cases: int

    def __post_init__(self) -> None:
        if self.confirmed < 0:
            raise GaugeInputError("negative", field="confirmed", value=self.confirmed)
        if self.confirmed > self.cases:
            raise GaugeInputError(
                "too_big", field="confirmed", value=self.confirmed, limit=self.cases
            )


def share(prior: float, counts: Counts | None) -> float:
    """Mean of the Beta distribution after the closed cases."""
    if counts is None:
        return prior
    return (PRACTICE_CASES * prior + counts.confirmed) / (PRACTICE_CASES + counts.cases)


def sharpened(table: Table, counts: Mapping[str, Counts]) -> dict[str, float]:
    """The prior of every cause, sharpened where there are counts."""
    return {one.key: share(one.prior, counts.get(one.key)) for one in table.causes}
