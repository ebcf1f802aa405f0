"""Links for the owner's decision: random, expiring, used up by one decision. Only a hash stays."""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets

from django.conf import settings
from django.urls import reverse
from django.utils import timezone

from repairs.audit.actions import deed, record
from repairs.audit.seldom import record_seldom
from repairs.cases.locks import locked_case
from repairs.estimates.actions import close_links
from repairs.estimates.consent_models import ConsentLink
from repairs.estimates.models import Estimate
from repairs.estimates.refusals import ConsentRefusedError, LinkSpentError
from repairs.estimates.standing import why_not_standing
from repairs.people.models import User

# 256 bits: a link is as good as a signature, so it may not be guessed, whatever the brake.
TOKEN_BYTES = 32
MOST_TOKEN = 100
# A house rule. It happens to be the term of withdrawal (C. conso L221-18), with which it has
# nothing to do: that one runs from the conclusion.
USUAL_DAYS = 14


def hash_of(token: str) -> str:
    """SHA-256 of a token: all of it that is kept."""
    return hashlib.sha256(token.encode()).hexdigest()


def link_address(token: str) -> str:
    """The whole address that is sent to the owner."""
    return settings.SITE_ADDRESS + reverse("estimates:decide", args=[token])


@deed()
def make_link(
    estimate: Estimate, *, days: int = USUAL_DAYS, by: User, at: dt.datetime
) -> tuple[ConsentLink, str]:
    """Make a link to an offer that stands; return it with its token, which is kept nowhere.

    It expires after so many days, and never later than the offer itself.
    """
    locked_case(estimate.case_id)
    if why := why_not_standing(estimate, at):
        raise ConsentRefusedError(why=why)
    token = secrets.token_urlsafe(TOKEN_BYTES)
    link = ConsentLink.objects.create(
        estimate=estimate,
        token_hash=hash_of(token),
        made_at=at,
        made_by=by,
        # Consent to an offer that has lapsed would bind nobody.
        expires_at=min(at + dt.timedelta(days=days), _end_of(estimate.valid_until)),
    )
    record(by, "consent.link_made", estimate.case, at=at, version=estimate.version, link=link.pk)
    return link, token


def _end_of(day: dt.date) -> dt.datetime:
    """The midnight that ends the day, in the house's time zone."""
    # Midnight at the end of the day in the house's zone, so that a day of 23 or 25 hours is whole
    # too.
    return timezone.make_aware(dt.datetime.combine(day + dt.timedelta(days=1), dt.time.min))


@deed()
def revoke_links(estimate: Estimate, *, by: User, at: dt.datetime) -> None:
    """Close every open link to that version."""
    locked_case(estimate.case_id)
    if close_links(estimate.links.all(), at=at):
        record(by, "consent.link_revoked", estimate.case, at=at, version=estimate.version)


def link_of(token: str, *, at: dt.datetime) -> ConsentLink:
    """The open link of that token, to an offer that stands.

    Raises LinkSpentError, the same for a link that is used, expired, closed, or was never ours.
    """
    rows = ConsentLink.objects.select_related(
        "estimate__case__instrument", "estimate__case__owner", "estimate__paper", "made_by"
    )
    # Looked up by its hash: a database that leaks opens no offer, and the time of the look-up tells
    # nothing about how much of a guess was right.
    link = rows.filter(token_hash=hash_of(token)).first() if len(token) <= MOST_TOKEN else None
    if link is None or not link.is_open(at) or why_not_standing(link.estimate, at):
        raise LinkSpentError
    return link


def note_opened(link: ConsentLink, *, at: dt.datetime) -> None:
    """Remember when it was first looked at. Looking, also a mail scanner's, uses nothing up."""
    # Only the first time, in one statement: mail programs open links by themselves, twice at once.
    ConsentLink.objects.filter(pk=link.pk, first_opened_at=None).update(first_opened_at=at)


def note_taken(link: ConsentLink, what: str, *, at: dt.datetime) -> None:
    """Say that a file was fetched by the link, which tells not by whom; once an hour for each.

    ``what`` is ``paper``, or the place of a photo on it.
    """
    place = {"version": link.estimate.version, "link": link.pk, "file": what}
    record_seldom(None, "consent.link_file_taken_out", link.estimate.case, at=at, **place)
