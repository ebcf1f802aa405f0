"""What an agreement makes due besides work by the hour."""

from __future__ import annotations

from decimal import Decimal

from repairs.cases.models import Case
from repairs.estimates.models import Consent, OptionLine
from repairs.money import NOTHING, rounded, total
from repairs.treatment.spent import OtherCosts

KIND = OptionLine.Kind


def agreement_of(case: Case) -> Consent | None:
    """The last decision of the owner, when it was to agree."""
    rows = Consent.objects.filter(estimate__case=case).select_related("estimate", "option")
    last = rows.order_by("said_at", "pk").last()
    return last if last is not None and last.decision == Consent.Decision.AGREED else None


def other_costs(case: Case) -> OtherCosts:
    """The fee for looking over, costs from outside and materials, as they were agreed to."""
    consent = agreement_of(case)
    if consent is None or consent.option is None:
        return OtherCosts()
    rows = [line for line in consent.option.lines.all() if line.amount]
    return OtherCosts(
        survey_fee=consent.estimate.survey_fee,
        outside=_sum_of(rows, KIND.OUTSIDE),
        materials=_sum_of(rows, KIND.MATERIAL),
    )


def _sum_of(rows: list[OptionLine], kind: str) -> Decimal:
    return total(rounded(line.amount or NOTHING) for line in rows if line.kind == kind)
