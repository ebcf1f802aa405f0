"""What the work has come to so far, against what was agreed."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from repairs.treatment.models import AgreedWork, Intervention

CENT = Decimal("0.01")
MINUTES_AN_HOUR = Decimal(60)


@dataclass(frozen=True)
class Spent:
    """Minutes and sums of a case, before tax; what the owner agreed to is a sum with tax."""

    minutes: int
    work: Decimal
    materials: Decimal
    tax: Decimal
    ceiling: Decimal | None
    currency: str

    @property
    def total(self) -> Decimal:
        """What the owner would have to pay by now."""
        return self.work + self.materials + self.tax

    @property
    def is_over(self) -> bool:
        return self.ceiling is not None and self.total > self.ceiling

    @property
    def is_near(self) -> bool:
        """Nine tenths of the ceiling are spent: time to ring the owner (common practice)."""
        return self.ceiling is not None and self.total * 10 >= self.ceiling * 9


def spent_on(agreed: list[AgreedWork], works: list[Intervention]) -> Spent:
    """Add up the spells and materials of works whose ``spells`` and ``materials`` are at hand.

    The ceiling that was agreed last holds for all of it: a later agreement replaces the sum of
    an earlier one, be it higher or lower.
    """
    minutes, work_sum, material_sum, tax_sum = 0, Decimal(0), Decimal(0), Decimal(0)
    for work in works:
        own = sum(spell.minutes or 0 for spell in work.spells.all())
        worth = (work.agreed.hourly_rate or Decimal(0)) * own / MINUTES_AN_HOUR
        charged = sum(
            (one.price for one in work.materials.all() if one.price and not one.withdrawn_at),
            Decimal(0),
        )
        minutes += own
        work_sum += worth
        material_sum += charged
        tax_sum += (worth + charged) * work.agreed.tax_pct / 100
    limited = [one for one in agreed if one.ceiling is not None and _stands(one)]
    return Spent(
        minutes,
        _rounded(work_sum),
        _rounded(material_sum),
        _rounded(tax_sum),
        max(limited, key=lambda one: one.number).ceiling if limited else None,
        agreed[0].currency if agreed else "EUR",
    )


def _rounded(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)


def _stands(agreed: AgreedWork) -> bool:
    return agreed.superseded_at is None and agreed.dropped_at is None
