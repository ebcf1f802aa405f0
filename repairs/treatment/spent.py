"""What the work has come to so far, against what was agreed."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from repairs.cases.models import Case
from repairs.treatment.models import AgreedWork, Intervention

CENT = Decimal("0.01")
MINUTES_AN_HOUR = Decimal(60)


@dataclass(frozen=True)
class Spent:
    """Minutes and sums of a case, before tax; ``stop_at`` is where the owner is asked again."""

    minutes: int
    work: Decimal
    materials: Decimal
    ceiling: Decimal | None
    currency: str

    @property
    def total(self) -> Decimal:
        return self.work + self.materials

    @property
    def is_over(self) -> bool:
        return self.ceiling is not None and self.total > self.ceiling

    @property
    def is_near(self) -> bool:
        """Nine tenths of the ceiling are spent: time to ring the owner (common practice)."""
        return self.ceiling is not None and self.total * 10 >= self.ceiling * 9


def spent_on(case: Case, works: list[Intervention]) -> Spent:
    """Add up the spells and materials of works whose ``spells`` and ``materials`` are at hand."""
    minutes, work_sum, material_sum = 0, Decimal(0), Decimal(0)
    for work in works:
        own = sum(spell.minutes or 0 for spell in work.spells.all())
        minutes += own
        rate = work.agreed.hourly_rate or Decimal(0)
        work_sum += rate * own / MINUTES_AN_HOUR
        material_sum += sum(
            (one.price for one in work.materials.all() if one.price and not one.withdrawn_at),
            Decimal(0),
        )
    agreed = [one for one in case.agreed_works.all() if one.ceiling is not None and _stands(one)]
    return Spent(
        minutes,
        work_sum.quantize(CENT, ROUND_HALF_UP),
        material_sum.quantize(CENT, ROUND_HALF_UP),
        max((one.ceiling for one in agreed if one.ceiling is not None), default=None),
        agreed[0].currency if agreed else "EUR",
    )


def _stands(agreed: AgreedWork) -> bool:
    return agreed.superseded_at is None and agreed.dropped_at is None
