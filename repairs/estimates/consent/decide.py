"""The owner's decision: on the premises, by a link, by telephone or message; one verb for all."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.db.models import Max

from repairs.audit.actions import deed, record
from repairs.cases.actions import move
from repairs.cases.because import CONSENT_BY_LINK
from repairs.cases.locks import locked_case
from repairs.cases.models import Case
from repairs.estimates.actions import close_links
from repairs.estimates.consent.said import (
    AGREED,
    Said,
    check_person,
    check_replaces,
    check_way,
    drawn,
)
from repairs.estimates.consent_models import Consent, ConsentLink
from repairs.estimates.models import Estimate, Option, OptionLine
from repairs.estimates.refusals import ConsentRefusedError, LinkSpentError
from repairs.estimates.standing import still_wanted, why_not_standing
from repairs.estimates.totals import rates_of, totals_of
from repairs.money import NOTHING, rounded, total
from repairs.people.models import User
from repairs.procedures.procedure import content_hash
from repairs.treatment.agree import Terms, hold_all_to, write_agreed
from repairs.treatment.models import AgreedWork


@deed()
def decide(
    estimate: Estimate,
    said: Said,
    *,
    link: ConsentLink | None = None,
    by: User | None,
    at: dt.datetime,
) -> Consent:
    """Note a decision on an issued estimate, with exactly what was shown.

    Agreed: the work is written as agreed and the case goes on to “agreed”, in this transaction;
    all of it or nothing. Work that is begun or done already is not agreed to a second time; the
    new ceiling holds for it too. A decision that stands is replaced only when that was said. The
    link is used up, and other open links of the case are closed. ``by`` is None when the owner
    decides through a link. Raises LinkSpentError for a link that another decision was faster to
    use, and ConsentRefusedError for all that cannot be decided so.
    """
    locked_case(estimate.case_id)
    case = Case.objects.with_names().get(pk=estimate.case_id)
    estimate = Estimate.objects.select_related("paper").get(pk=estimate.pk)
    estimate.case = case
    _check_link(link, at)
    _check_said(estimate, said, at)
    consent = _write(estimate, said, link, by=by, at=at)
    _spend_links(case, link, at)
    if said.decision == AGREED:
        _agree(estimate, consent, said, by=by, at=at)
        _move_on(case, consent, by=by, at=at)
    _log_given(estimate, consent, said, by=by, at=at)
    return consent


def _spend_links(case: Case, link: ConsentLink | None, at: dt.datetime) -> None:
    # Other open links still show what was offered before; a second person who decides by one
    # would undo what this one said.
    if link is not None:
        ConsentLink.objects.filter(pk=link.pk).update(used_at=at)
    close_links(ConsentLink.objects.filter(estimate__case=case), at=at)


def _check_said(estimate: Estimate, said: Said, at: dt.datetime) -> None:
    if why := why_not_standing(estimate, at):
        raise ConsentRefusedError(why=why)
    check_replaces(estimate, said)
    check_person(estimate.case, said)
    check_way(estimate, said, at)


def _log_given(
    estimate: Estimate, consent: Consent, said: Said, *, by: User | None, at: dt.datetime
) -> None:
    record(
        by,
        "consent.given",
        estimate.case,
        at=at,
        # The log is kept longer than the person may have to be: a salted hash can still be
        # held against a name that somebody claims, and says nothing by itself.
        hashed={"name": said.name},
        consent=consent.number,
        decision=said.decision,
        how=said.how,
        version=estimate.version,
    )


def _check_link(link: ConsentLink | None, at: dt.datetime) -> None:
    """Look again under the lock of the case: of two who decide at once, the second is refused."""
    if link is None:
        return
    if not ConsentLink.objects.get(pk=link.pk).is_open(at):
        raise LinkSpentError


def _write(
    estimate: Estimate, said: Said, link: ConsentLink | None, *, by: User | None, at: dt.datetime
) -> Consent:
    case, paper = estimate.case, estimate.paper
    assert paper is not None  # noqa: S101 - an offer that stands is issued
    last = case.consents.aggregate(last=Max("number"))["last"] or 0
    is_agreed = said.decision == AGREED
    return Consent.objects.create(
        case=case,
        number=last + 1,
        estimate=estimate,
        option=said.option if is_agreed else None,
        decision=said.decision,
        how=said.how,
        name=said.name.strip(),
        signature=drawn(said),
        words=said.words.strip(),
        confirmation=said.confirmation.strip(),
        irreversible_agreed=is_agreed and said.irreversible_agreed,
        link=link,
        # The whole of what was shown, not a pointer to it: rows are reworded, a snapshot is
        # evidence. The hash is that of the PDF that the owner can check for himself.
        shown=paper.data,
        shown_sha256=paper.sha256,
        # When it was said and when it was noted are two facts: a call on Saturday is typed on
        # Monday.
        said_at=said.said_at or at,
        noted_at=at,
        noted_by=by,
    )


def _costs(option: Option, kind: str) -> Decimal:
    lines = option.lines.filter(kind=kind)
    return total(rounded(line.amount or NOTHING) for line in lines)


def _agree(
    estimate: Estimate, consent: Consent, said: Said, *, by: User | None, at: dt.datetime
) -> list[AgreedWork]:
    """Write each piece of work of the option as agreed, at its ceiling."""
    option = consent.option
    assert option is not None  # noqa: S101 - checked above
    # What is begun cannot be consented to afterwards: the ceiling is made to hold for it, no more.
    works = still_wanted(estimate.case, option)
    totals = totals_of(option, rates_of(estimate))
    terms = Terms(
        basis=AgreedWork.Basis.CONSENT,
        reference=f"consent:{consent.pk}",
        agreed_name=said.name.strip(),
        ceiling=totals.ceiling,
        stop_at=totals.stop_at,
        tax_pct=estimate.tax_pct,
        survey_fee=estimate.survey_fee,
        outside_costs=_costs(option, OptionLine.Kind.OUTSIDE),
        material_costs=_costs(option, OptionLine.Kind.MATERIAL),
        hourly_rate=estimate.hourly_rate,
        currency=estimate.currency,
        irreversible_agreed=consent.irreversible_agreed,
        content_hash=agreed_hash(consent),
    )
    rows = write_agreed(estimate.case, works, terms, by=by, at=at)
    hold_all_to(estimate.case, terms)
    return rows


def agreed_hash(consent: Consent) -> str:
    """SHA-256 over the paper that was shown and the block of the option as it stands in it."""
    # Each agreed work carries it, so that it can be shown long after that nobody widened the work
    # between the signature and the bench.
    return content_hash({"shown_sha256": consent.shown_sha256, "option": shown_option(consent)})


def shown_option(consent: Consent) -> dict[str, Any] | None:
    """The chosen option as the paper showed it."""
    if consent.option is None:
        return None
    rows = consent.shown["content"]["options"]
    return next((row for row in rows if row["number"] == consent.option.position), None)


def _move_on(case: Case, consent: Consent, *, by: User | None, at: dt.datetime) -> None:
    """The case goes on to “agreed”; one that is there already, or beyond, stays where it is.

    A step has always somebody of the house behind it: for a link, whoever made it.
    """
    path = case.path
    if case.step in path and path.index(case.step) >= path.index(Case.Step.AGREED):
        return
    because = ""
    if consent.link is not None:
        by = consent.link.made_by
        because = CONSENT_BY_LINK % {"number": consent.number}
    assert by is not None  # noqa: S101 - only a link has nobody of the house at the keyboard
    move(case, Case.Step.AGREED, because=because, by=by, at=at)
