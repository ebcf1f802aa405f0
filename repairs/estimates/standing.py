"""Whether an offer still stands (issued, newest, in time), and what is agreed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from repairs.cases.models import Case
from repairs.estimates.consent_models import Consent
from repairs.estimates.models import Estimate, Option, OptionLine
from repairs.treatment.agree import Wanted, split_worked
from repairs.treatment.models import Intervention
from repairs.treatment.spent import Spent, spent_on


def why_not_standing(estimate: Estimate, at: dt.datetime) -> str:
    """Why nobody can decide about it at that moment; empty when it stands."""
    if not estimate.is_issued:
        return _("version %(version)s is not issued yet. Issue it first.") % {
            "version": estimate.version
        }
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


def decision_on(estimate: Estimate) -> Consent | None:
    """What a new decision about it would replace: an agreement, or the last about this version."""
    # To have declined an earlier version says nothing of the next, which is made because of that.
    about = estimate.consents.select_related("estimate", "option").order_by("said_at", "pk")
    return agreement_of(estimate.case) or about.last()


@dataclass(frozen=True)
class StandingDecision:
    """The decision that a new one would replace.

    ``kept`` has, by the number of each option of the new offer, the works that answer a part of it
    already: they are not agreed to a second time.
    """

    consent: Consent
    works: list[Intervention]
    waiting: int
    spent: Spent
    kept: list[tuple[int, list[Intervention]]]

    @property
    def done(self) -> list[Intervention]:
        """The agreed works that are signed off."""
        return [work for work in self.works if work.is_signed]

    @property
    def going_on(self) -> list[Intervention]:
        """The agreed works that were begun and are not signed off."""
        return [work for work in self.works if not work.is_signed]


def standing_decision(estimate: Estimate) -> StandingDecision | None:
    """What a decision about this offer would replace; None when it is the first that counts."""
    case = estimate.case
    consent = decision_on(estimate)
    if consent is None:
        return None
    consent.case = case
    agreed = list(case.agreed_works.live())
    works = _works_of(case)
    begun = {work.agreed_id for work in works}
    kept = [
        (option.position, split_worked(wanted_of(option), works)[1])
        for option in estimate.options.all()
    ]
    return StandingDecision(
        consent,
        works,
        sum(1 for row in agreed if row.pk not in begun),
        spent_on(agreed, works),
        [(number, found) for number, found in kept if found],
    )


def _works_of(case: Case) -> list[Intervention]:
    rows = case.interventions.select_related("agreed__version", "version", "sign_off")
    return list(rows.prefetch_related("findings", "spells", "materials"))


def wanted_of(option: Option) -> list[Wanted]:
    """The pieces of work of an option, as they would be agreed."""
    lines = option.lines.filter(kind=OptionLine.Kind.WORK).select_related("version")
    return [
        Wanted(version=line.version, findings=list(line.findings.all()), title=line.words[:200])
        for line in lines.prefetch_related("findings")
        if line.version is not None
    ]


def still_wanted(case: Case, option: Option) -> list[Wanted]:
    """Those that no work answers which is begun or done."""
    return split_worked(wanted_of(option), _works_of(case))[0]
