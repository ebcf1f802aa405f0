"""Verbs on an estimate: write a version, change it, issue it, withdraw it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal
from functools import partial
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from repairs.audit.actions import deed, record
from repairs.cases.locks import locked_case
from repairs.cases.models import Case
from repairs.estimates.compile import estimate_sheet
from repairs.estimates.consent_models import Consent, ConsentLink
from repairs.estimates.gaps import gaps
from repairs.estimates.models import Estimate, Option, OptionLine, OptionLineFinding
from repairs.estimates.paper_kinds import ESTIMATE
from repairs.estimates.refusals import (
    ConsentRefusedError,
    EstimateIncompleteError,
    EstimateIssuedError,
)
from repairs.estimates.state import is_house, takes_estimates
from repairs.estimates.wishes import LINE_FIELDS, OPTION_FIELDS, OptionWish
from repairs.people.house_models import House
from repairs.people.models import User
from repairs.press.actions import issue as issue_paper
from repairs.press.actions import propose_seal
from repairs.press.models import Paper
from repairs.press.refusals import PreviewOutdatedError
from repairs.procedures.versions import pin
from repairs.screens.refusals import ChangedMeanwhileError

VALID_DAYS = 30
HABITS = ("tax_words", "stop_pct", "deposit_pct")
COPIED = ("currency", "hourly_rate", "tax_pct", "survey_fee", "intro", *HABITS)


@deed()
def write_estimate(case: Case, *, by: User, at: dt.datetime) -> Estimate:
    """Open the next version, a copy of the last. A version not issued yet is gone on with.

    Raises EstimateIncompleteError for a stay that is not agreed to by an estimate.
    """
    locked = locked_case(case.pk)
    _check_reason(locked)
    last = locked.estimates.first()
    if last is not None and not last.is_issued:
        return last
    estimate = Estimate(
        case=case,
        version=last.version + 1 if last else 1,
        valid_until=timezone.localdate(at) + dt.timedelta(days=VALID_DAYS),
        made_at=at,
        made_by=by,
        changed_at=at,
        changed_by=by,
        **_beginning(last),
    )
    estimate.save()
    if last is not None:
        _copy_options(last, estimate)
    record(by, "estimate.written", case, at=at, version=estimate.version)
    return estimate


def _check_reason(case: Case) -> None:
    if is_house(case):
        raise EstimateIncompleteError(
            why=_("an instrument of the house needs none; the principal agrees to its work.")
        )
    if not takes_estimates(case):
        raise EstimateIncompleteError(
            why=_("a stay for this reason (%(reason)s) has no work in it. Change the reason first.")
            % {"reason": case.reason_label}
        )
    if case.ended_at is not None:
        raise EstimateIncompleteError(why=_("the stay has ended."))


def _beginning(last: Estimate | None) -> dict[str, Any]:
    """As the last version; else at the house's rates of work and tax, with the terms used last."""
    if last is not None:
        return {name: getattr(last, name) for name in COPIED}
    house = House.present()
    usual = Estimate.objects.order_by("-made_at", "-pk").first()
    habits = {name: getattr(usual, name) for name in HABITS} if usual else {}
    is_taxed = house.pays_vat_on(timezone.localdate())
    rate_pct = house.default_rate_pct if is_taxed else Decimal(0)
    rates = {"hourly_rate": house.hourly_rate, "tax_pct": rate_pct}
    return {"currency": house.currency, **rates, **habits}


def _copy_options(last: Estimate, new: Estimate) -> None:
    for option in last.options.prefetch_related("lines__findings"):
        said = {name: getattr(option, name) for name in OPTION_FIELDS}
        copy = Option.objects.create(estimate=new, position=option.position, **said)
        for line in option.lines.all():
            words = {name: getattr(line, name) for name in LINE_FIELDS}
            row = OptionLine.objects.create(
                option=copy, position=line.position, version_id=line.version_id, **words
            )
            row.findings.set(one for one in line.findings.all() if one.withdrawn_at is None)


@deed()
def change_estimate(
    estimate: Estimate, options: Sequence[OptionWish], *, seen: int, by: User, at: dt.datetime
) -> Estimate:
    """Save the fields of the version and put these options in the place of its former ones.

    Raises EstimateIssuedError for an issued version, and ChangedMeanwhileError when somebody else
    saved it after it was seen; nothing is written then.
    """
    locked_case(estimate.case_id)
    present = _unissued(estimate)
    if present.revision != seen:
        when = date_format(timezone.localtime(present.changed_at), "DATETIME_FORMAT")
        raise ChangedMeanwhileError(who=present.changed_by, when=when)
    estimate.revision = seen + 1
    estimate.changed_at, estimate.changed_by = at, by
    estimate.save()
    _clear_options(estimate)
    for position, wish in enumerate(options, 1):
        _write_option(estimate, position, wish, at)
    record(by, "estimate.changed", estimate.case, at=at, version=estimate.version)
    return estimate


def _clear_options(estimate: Estimate) -> None:
    """From the links up: what a cascade removes the log would not know of."""
    OptionLineFinding.objects.filter(optionline__option__estimate=estimate).delete()
    OptionLine.objects.filter(option__estimate=estimate).delete()
    estimate.options.all().delete()


def _unissued(estimate: Estimate) -> Estimate:
    present = Estimate.objects.select_related("changed_by").get(pk=estimate.pk)
    if present.is_issued:
        raise EstimateIssuedError(version=present.version)
    return present


def _write_option(estimate: Estimate, position: int, wish: OptionWish, at: dt.datetime) -> None:
    said = {name: getattr(wish, name) for name in OPTION_FIELDS}
    option = Option.objects.create(estimate=estimate, position=position, **said)
    for place, line in enumerate(wish.lines, 1):
        words = {name: getattr(line, name) for name in LINE_FIELDS}
        version = pin(line.procedure, at=at) if line.procedure else None
        row = OptionLine.objects.create(option=option, position=place, version=version, **words)
        row.findings.set(line.findings)


def issue_estimate(
    estimate: Estimate, *, language: str, fingerprint: str, by: User, at: dt.datetime
) -> Paper:
    """Print and seal the version, exactly as it was previewed; from here on it never changes.

    Open links to earlier versions are closed with it. Raises EstimateIncompleteError,
    EstimateIssuedError, and PreviewOutdatedError when it says something else than the preview.
    """
    check_issuable(estimate, timezone.localdate(at))
    seal = propose_seal(ESTIMATE, estimate.case.log_key, by=by, at=at)
    sheet = estimate_sheet(estimate, language=language, made_at=at, seal=seal)
    if sheet.fingerprint() != fingerprint:
        raise PreviewOutdatedError
    hold = partial(locked_case, estimate.case_id)  # no decision meanwhile
    also = partial(_become_issued, estimate, by=by, at=at)
    return issue_paper(sheet, by=by, hold=hold, also=also)


def check_issuable(estimate: Estimate, today: dt.date) -> None:
    """Raise EstimateIssuedError or EstimateIncompleteError when it cannot be issued on that day."""
    case = estimate.case
    if estimate.is_issued:
        raise EstimateIssuedError(version=estimate.version)
    _check_reason(case)
    if not _is_looked_over(case):
        raise EstimateIncompleteError(
            why=_("case %(number)s is not looked over yet.") % {"number": case.number}
        )
    for gap in gaps(estimate, today):
        raise EstimateIncompleteError(why=gap)


def _is_looked_over(case: Case) -> bool:
    """Whether the step before the agreement is reached; a small job has none but the intake."""
    path = case.path
    place = path.index(case.step) if case.step in path else 0
    return place >= path.index(Case.Step.AGREED) - 1


def _become_issued(estimate: Estimate, paper: Paper, *, by: User, at: dt.datetime) -> None:
    """In the transaction that keeps the paper."""
    present = _unissued(estimate)
    if present.revision != estimate.revision:
        raise PreviewOutdatedError
    estimate.paper = paper
    estimate.save(update_fields=["paper"])
    earlier = ConsentLink.objects.filter(estimate__case=estimate.case)
    close_links(earlier, at=at)
    record(by, "estimate.issued", estimate.case, at=at, version=estimate.version)


def close_links(links: QuerySet[ConsentLink], *, at: dt.datetime) -> int:
    """Close the open ones among the links; return how many there were."""
    return int(links.filter(used_at=None, revoked_at=None).update(revoked_at=at))


@deed()
def withdraw_estimate(estimate: Estimate, *, by: User, at: dt.datetime) -> None:
    """Take an issued offer back; the paper stays on record, its links open nothing any more.

    Raises ConsentRefusedError when it was agreed to: that is changed by a new version.
    """
    locked_case(estimate.case_id)
    present = Estimate.objects.get(pk=estimate.pk)
    if not present.is_issued or present.withdrawn_at is not None:
        raise ConsentRefusedError(why=_("only an offer that stands can be withdrawn."))
    if present.consents.filter(decision=Consent.Decision.AGREED).exists():
        raise ConsentRefusedError(
            why=_("the owner agreed to this version. Issue a new one, and have that agreed to.")
        )
    estimate.withdrawn_at = present.withdrawn_at = at
    present.save(update_fields=["withdrawn_at"])
    close_links(present.links.all(), at=at)
    record(by, "estimate.withdrawn", present.case, at=at, version=present.version)
