"""The agreement that stands. What it makes due besides work by the hour: ``treatment.spent``."""

from __future__ import annotations

from repairs.cases.models import Case
from repairs.estimates.models import Consent


def agreement_of(case: Case) -> Consent | None:
    """The last decision of the owner, when it was to agree."""
    rows = Consent.objects.filter(estimate__case=case).select_related("estimate", "option")
    last = rows.order_by("said_at", "pk").last()
    return last if last is not None and last.decision == Consent.Decision.AGREED else None
