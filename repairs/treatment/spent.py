"""What the work has come to so far, against what was agreed."""

from __future__ import annotations

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
        own = sum(spell.minutes or 0 for spell in work.spells.all())
        minutes += own
        worth = rounded((work.agreed.hourly_rate or NOTHING) * own / MINUTES_AN_HOUR)
        worth += total(
            one.price for one in work.materials.all() if one.price and not one.withdrawn_at
        )
        net += worth
        gross += worth + share(worth, work.agreed.tax_pct)
    last = next((one for one in reversed(agreed) if one.ceiling is not None and _stands(one)), None)
    return Spent(
        minutes,
        net,
        gross,
        last.ceiling if last else None,
        last.stop_at if last else None,
        last.currency if last else "EUR",
    )


def _stands(agreed: AgreedWork) -> bool:
    return agreed.superseded_at is None and agreed.dropped_at is None
