"""The owner's decision: on the premises, by a link, by telephone or message; one verb for all."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.db.models import Max
from django.utils.translation import gettext as _

from repairs.audit.actions import deed, record
from repairs.cases.actions import move
from repairs.cases.because import CONSENT_BY_LINK
from repairs.cases.locks import locked_case
from repairs.cases.models import Case
from repairs.estimates.actions import close_links
from repairs.estimates.consent.signature import SignatureError, Strokes, checked
from repairs.estimates.models import Consent, ConsentLink, Estimate, Option, OptionLine
from repairs.estimates.refusals import ConsentRefusedError, LinkSpentError
from repairs.estimates.standing import agreement_of, still_wanted, why_not_standing
from repairs.estimates.totals import rates_of, totals_of
from repairs.language.text import folded
from repairs.money import NOTHING, money_words, rounded, total
from repairs.people.models import House, User
from repairs.procedures.procedure import content_hash
from repairs.treatment.agree import Terms, hold_all_to, write_agreed
from repairs.treatment.models import AgreedWork

SPOKEN = (Consent.How.TELEPHONE, Consent.How.MESSAGE)
AGREED, DECLINED = Consent.Decision.AGREED, Consent.Decision.DECLINED


@dataclass(frozen=True, kw_only=True)
class Said:
    """What a person decided, and how it came to the workshop.

    ``signed_name`` is typed in the place of a drawing; ``may_decide`` is their word that they are
    the owner or may decide for them; ``replaces`` that an agreement which stands is to give way;
    ``said_at`` is empty when they say it now.
    """

    decision: str
    how: str
    name: str
    option: Option | None = None
    signature: Strokes = field(default_factory=list)
    signed_name: str = ""
    may_decide: bool = False
    replaces: bool = False
    irreversible_agreed: bool = False
    words: str = ""
    confirmation: str = ""
    said_at: dt.datetime | None = None


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
    new ceiling holds for it too. An agreement that stands is replaced only when that was said. The
    link is used up, and other open links of the case are closed. ``by`` is None when the owner
    decides through a link. Raises LinkSpentError for a link that another decision was faster to
    use, and ConsentRefusedError for all that cannot be decided so.
    """
    locked_case(estimate.case_id)
    case = Case.objects.with_names().get(pk=estimate.case_id)
    estimate = Estimate.objects.select_related("paper").get(pk=estimate.pk)
    estimate.case = case
    _check_link(link, at)
    if why := why_not_standing(estimate, at):
        raise ConsentRefusedError(why=why)
    _check_replaces(case, said)
    _check_person(case, said)
    _check_way(estimate, said, at)
    consent = _write(estimate, said, link, by=by, at=at)
    if link is not None:
        ConsentLink.objects.filter(pk=link.pk).update(used_at=at)
    close_links(ConsentLink.objects.filter(estimate__case=case), at=at)
    if said.decision == AGREED:
        _agree(estimate, consent, said, by=by, at=at)
        _move_on(case, consent, by=by, at=at)
    record(
        by,
        "consent.given",
        case,
        at=at,
        hashed={"name": said.name},
        consent=consent.number,
        decision=said.decision,
        how=said.how,
        version=estimate.version,
    )
    return consent


def _check_link(link: ConsentLink | None, at: dt.datetime) -> None:
    """Look again under the lock of the case: of two who decide at once, the second is refused."""
    if link is None:
        return
    if not ConsentLink.objects.get(pk=link.pk).is_open(at):
        raise LinkSpentError


def _check_replaces(case: Case, said: Said) -> None:
    standing = agreement_of(case)
    if standing is not None and not said.replaces:
        raise ConsentRefusedError(
            why=_("decision %(number)s stands already: say that this one replaces it.")
            % {"number": standing.number}
        )


def _check_person(case: Case, said: Said) -> None:
    """The owner; the one who brought it, if they may; or someone who says that they may decide."""
    name, owner = folded(said.name), case.owner
    if not name:
        raise ConsentRefusedError(why=_("the name of the person who decides is missing."))
    if name in (folded(owner.name), folded(owner.contact)):
        return
    if name == folded(case.bringer_name):
        if case.bringer_may_agree:
            return
        raise ConsentRefusedError(
            why=_("%(name)s brought the instrument, but may not agree to work and cost.")
            % {"name": said.name}
        )
    if not said.may_decide:
        raise ConsentRefusedError(
            why=_("%(name)s is not the name of the owner: say that you may decide for them.")
            % {"name": said.name}
        )


def _check_way(estimate: Estimate, said: Said, at: dt.datetime) -> None:
    """What no word helps against comes first, then what is still to be said."""
    option = said.option if said.decision != DECLINED else None
    is_spoken = said.how in SPOKEN
    if is_spoken and option is not None and (why := why_not_by_word(estimate, option)):
        raise ConsentRefusedError(why=why)
    if is_spoken:
        _check_spoken(estimate, said, at)
    drawn = _drawn(said)
    if said.decision == DECLINED:
        return
    if option is None or option.estimate_id != estimate.pk:
        raise ConsentRefusedError(why=_("no option of this version was chosen."))
    if not is_spoken and not drawn and folded(said.signed_name) != folded(said.name):
        raise ConsentRefusedError(
            why=_("it is not signed: draw the signature, or type the same name as above.")
        )
    if is_grave(option) and not said.irreversible_agreed:
        raise ConsentRefusedError(
            why=_("this option has work that cannot be undone; it must be agreed to by itself.")
        )


def _drawn(said: Said) -> Strokes:
    try:
        return checked(said.signature)
    except SignatureError:
        raise ConsentRefusedError(why=_("the signature cannot be read. Sign again.")) from None


def _check_spoken(estimate: Estimate, said: Said, at: dt.datetime) -> None:
    """What was said by telephone or message is noted with its words and its moment."""
    if not said.words.strip():
        raise ConsentRefusedError(why=_("the words that were said are missing."))
    moment, paper = said.said_at or at, estimate.paper
    if moment > at:
        raise ConsentRefusedError(why=_("it cannot have been said in the future."))
    if paper is not None and moment < paper.issued_at.replace(second=0, microsecond=0):
        raise ConsentRefusedError(why=_("it was said before this version was issued."))
    if said.decision == AGREED and not said.confirmation.strip():
        raise ConsentRefusedError(why=_("say how and when a confirmation was sent to the owner."))


def why_not_by_word(estimate: Estimate, option: Option) -> str:
    """By word of mouth: within the house's limit, and nothing that is for good; empty when it may.

    A ceiling of a later decision holds for all, hence is held against the limit as a whole.
    """
    if is_grave(option):
        return _(
            "work that cannot be undone, and samples, need a signature or the owner’s link; "
            "word of mouth is not enough."
        )
    most = House.present().spoken_consent_most
    if totals_of(option, rates_of(estimate)).ceiling > most:
        return _(
            "above %(most)s a signature or the owner’s link is needed; word of mouth is not enough."
        ) % {"most": money_words(most, estimate.currency)}
    return ""


def is_grave(option: Option) -> bool:
    """Whether something in the option cannot be undone, or uses up a sample."""
    return any(
        line.is_sampling or (line.version and line.version.procedure.is_irreversible)
        for line in option.lines.select_related("version")
    )


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
        signature=_drawn(said),
        words=said.words.strip(),
        confirmation=said.confirmation.strip(),
        irreversible_agreed=is_agreed and said.irreversible_agreed,
        link=link,
        shown=paper.data,
        shown_sha256=paper.sha256,
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
