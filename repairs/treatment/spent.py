"""What the work has come to so far, against what was agreed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from repairs.money import NOTHING, rounded, share, total
from repairs.treatment.models import AgreedWork, Intervention

MINUTES_AN_HOUR = 60


@dataclass(frozen=True)
class Spent:
    """Minutes and sums of a case; ``total`` is with tax, as ceiling and ``stop_at`` are."""

    minutes: int
    net: Decimal
    total: Decimal
    ceiling: Decimal | None
    stop_at: Decimal | None
    currency: str

    @property
    def is_over(self) -> bool:
        return self.ceiling is not None and self.total > self.ceiling

    @property
    def is_to_be_asked(self) -> bool:
        """Whether the sum is reached at which the owner was promised to be asked."""
        return self.stop_at is not None and self.total >= self.stop_at


def spent_on(agreed: list[AgreedWork], works: list[Intervention]) -> Spent:
    """Add up the spells and materials of works whose ``spells`` and ``materials`` are at hand.

    Each piece of work is rounded to two places, halves up, as on an estimate.
    """
    minutes, net, gross = 0, NOTHING, NOTHING
    for work in works:
        minutes += work.minutes
        worth = rounded((work.agreed.hourly_rate or NOTHING) * work.minutes / MINUTES_AN_HOUR)
        worth += total(
            one.price for one in work.materials.all() if one.price and not one.withdrawn_at
        )
        net += worth
        gross += worth + share(worth, work.agreed.tax_pct)
    last = with_ceiling(agreed)
    return Spent(
        minutes,
        net,
        gross,
        last.ceiling if last else None,
        last.stop_at if last else None,
        last.currency if last else "EUR",
    )


def with_ceiling(agreed: Sequence[AgreedWork]) -> AgreedWork | None:
    """The last agreed work that stands and names a ceiling: its ceiling is the case's."""
    return next((one for one in reversed(agreed) if one.stands and one.ceiling is not None), None)
