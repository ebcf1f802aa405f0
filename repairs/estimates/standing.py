"""Whether an offer still stands (issued, newest, in time), and what is agreed."""

from __future__ import annotations

import datetime as dt

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from repairs.cases.models import Case
from repairs.estimates.models import Consent, Estimate


def why_not_standing(estimate: Estimate, at: dt.datetime) -> str:
    """Why nobody can decide about it at that moment; empty when it stands."""
    if not estimate.is_issued:
        return _("version %(version)s is not issued yet.") % {"version": estimate.version}
    if estimate.withdrawn_at is not None:
        return _("version %(version)s was withdrawn.") % {"version": estimate.version}
    if estimate.case.ended_at is not None:
        return _("the stay has ended.")
    later = estimate.case.estimates.issued().filter(version__gt=estimate.version).first()
    if later is not None:
        return _("version %(version)s replaces it.") % {"version": later.version}
    if estimate.has_lapsed(timezone.localdate(at)):
        day = date_format(estimate.valid_until)
        return _("it was valid until %(day)s. Issue a new version.") % {"day": day}
    return ""


def agreement_of(case: Case) -> Consent | None:
    """The last decision of the owner, when it was to agree."""
    rows = Consent.objects.filter(estimate__case=case).select_related("estimate", "option")
    last = rows.order_by("said_at", "pk").last()
    return last if last is not None and last.decision == Consent.Decision.AGREED else None
