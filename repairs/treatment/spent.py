"""What the work has come to so far, against what was agreed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from repairs.cases.models import Case
from repairs.language.durations import MINUTES_AN_HOUR
from repairs.money import NOTHING, rounded, share, total
from repairs.treatment.models import AgreedWork, Intervention

TO_FOUR_PLACES = Decimal("0.0001")


@dataclass(frozen=True)
class Spent:
    """Minutes and sums of a case, as an invoice would ask them now.

    ``total`` is with tax, as ceiling and ``stop_at`` are; ``minutes`` are those behind it.
    Emergency work is not asked for by the hour: its minutes stand apart, its materials are in.
    """

    minutes: int
    emergency_minutes: int
    net: Decimal
    total: Decimal
    fixed: Decimal
    ceiling: Decimal | None
    stop_at: Decimal | None
    currency: str

    @property
    def is_taxed(self) -> bool:
        """Whether tax was added at all: none is on an instrument of the house."""
        return self.total != self.net

    @property
    def is_over(self) -> bool:
        """Whether more is spent than the owner agreed to; at the ceiling itself it is not."""
        return self.ceiling is not None and self.total > self.ceiling

    @property
    def is_to_be_asked(self) -> bool:
        """Whether the sum is reached at which the owner was promised to be asked."""
        return self.stop_at is not None and self.total >= self.stop_at

    @property
    def warning(self) -> str:
        """What whoever goes on working must know; empty as long as the sum is within bounds."""
        if self.is_over:
            return _(
                "More is spent than was agreed. Stop and ask the owner: a new estimate, a new "
                "consent."
            )
        if self.is_to_be_asked:
            return _("The sum is reached at which the owner was to be asked. Ask before going on.")
        return ""


def spent_on(
    agreed: list[AgreedWork], works: list[Intervention], usual_tax_pct: Decimal = NOTHING
) -> Spent:
    """Add up what the ceiling holds: works with ``spells`` and ``materials`` at hand, other costs.

    Each piece of work is rounded to two places, halves up, as on an invoice; tax is taken once,
    on the sum at each rate, at the usual one where no agreement names another.
    """
    last = with_ceiling(agreed)
    tax_pct = last.tax_pct if last else usual_tax_pct
    fixed = _fixed(last, has_materials=any(_materials(work) for work in works)) if last else NOTHING
    nets: dict[Decimal, Decimal] = defaultdict(lambda: NOTHING, {tax_pct: fixed})
    for work in works:
        own_pct = tax_pct if work.agreed.is_emergency else work.agreed.tax_pct
        nets[own_pct] += _worth(work) + _materials(work)
    return Spent(
        minutes=sum(work.minutes for work in works if not work.agreed.is_emergency),
        emergency_minutes=sum(work.minutes for work in works if work.agreed.is_emergency),
        net=total(nets.values()),
        total=total(net + share(net, rate_pct) for rate_pct, net in nets.items()),
        fixed=fixed,
        ceiling=last.ceiling if last else None,
        stop_at=last.stop_at if last else None,
        currency=last.currency if last else "EUR",
    )


def tally(case: Case) -> Spent:
    """What a case has come to by now; a clock that runs counts when it is stopped."""
    works = case.interventions.select_related("agreed").prefetch_related("spells", "materials")
    return spent_on(list(case.agreed_works.live()), list(works))


def _fixed(agreed: AgreedWork, *, has_materials: bool) -> Decimal:
    """Materials count as they were agreed, as long as no priced one was noted at the bench."""
    materials = NOTHING if has_materials else agreed.material_costs
    return agreed.survey_fee + agreed.outside_costs + materials


def _worth(work: Intervention) -> Decimal:
    """Of its hours at the rate agreed, or the price agreed at the counter; before tax."""
    agreed = work.agreed
    if agreed.is_at_a_price:
        return agreed.net_price_at(agreed.tax_pct)
    return rounded(hours_of(work.minutes) * (agreed.hourly_rate or NOTHING))


def hours_of(minutes: int) -> Decimal:
    """Hours as an invoice bears them, to four places."""
    return (Decimal(minutes) / MINUTES_AN_HOUR).quantize(TO_FOUR_PLACES)


def _materials(work: Intervention) -> Decimal:
    """Those with a price of their own: what a price agreed at the counter holds has none."""
    if work.agreed.is_at_a_price:
        return NOTHING
    return total(one.price for one in work.materials.all() if one.price and not one.withdrawn_at)


def with_ceiling(agreed: Sequence[AgreedWork]) -> AgreedWork | None:
    """The last agreed work that stands and names a ceiling: its ceiling is the case's."""
    return next((one for one in reversed(agreed) if one.stands and one.ceiling is not None), None)
