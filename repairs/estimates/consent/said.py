"""What a person said of an offer, and whether it can be noted as their decision.

Whoever decides must be the owner or may decide for them; what cannot be undone, a sample, and a sum
above the house's limit want a signature or the owner's link.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from repairs.cases.models import Case
from repairs.estimates.consent.signature import SignatureError, Strokes, checked
from repairs.estimates.consent_models import Consent
from repairs.estimates.models import Estimate, Option
from repairs.estimates.refusals import ConsentRefusedError
from repairs.estimates.standing import decision_on
from repairs.estimates.totals import rates_of, totals_of
from repairs.language.text import folded
from repairs.money import money_words
from repairs.people.house_models import House

SPOKEN = (Consent.How.TELEPHONE, Consent.How.MESSAGE)
AGREED, DECLINED = Consent.Decision.AGREED, Consent.Decision.DECLINED


@dataclass(frozen=True, kw_only=True)
class Said:
    """What a person decided, and how it came to the workshop.

    ``signed_name`` is typed in the place of a drawing; ``may_decide`` is their word that they are
    the owner or may decide for them; ``replaces`` that a decision which stands is to give way;
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


def check_replaces(estimate: Estimate, said: Said) -> None:
    """A decision that stands gives way only when that was said: of two who decide at once, the
    second is told of the first."""
    standing = decision_on(estimate)
    if standing is not None and not said.replaces:
        raise ConsentRefusedError(
            why=_("decision %(number)s stands already: say that this one replaces it.")
            % {"number": standing.number}
        )


def check_person(case: Case, said: Said) -> None:
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


def check_way(estimate: Estimate, said: Said, at: dt.datetime) -> None:
    """What no word helps against comes first, then what is still to be said."""
    option = said.option if said.decision != DECLINED else None
    is_spoken = said.how in SPOKEN
    if is_spoken and option is not None and (why := why_not_by_word(estimate, option)):
        raise ConsentRefusedError(why=why)
    if is_spoken:
        _check_spoken(estimate, said, at)
    strokes = drawn(said)
    if said.decision == DECLINED:
        return
    if option is None or option.estimate_id != estimate.pk:
        raise ConsentRefusedError(why=_("no option of this version was chosen."))
    if not is_spoken and not strokes and folded(said.signed_name) != folded(said.name):
        raise ConsentRefusedError(
            why=_("it is not signed: draw the signature, or type the same name as above.")
        )
    if is_grave(option) and not said.irreversible_agreed:
        raise ConsentRefusedError(
            why=_("this option has work that cannot be undone; it must be agreed to by itself.")
        )


def drawn(said: Said) -> Strokes:
    """The strokes of the signature; none when it was not drawn."""
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
        raise ConsentRefusedError(
            why=_("it cannot have been said in the future. Correct the day and the hour.")
        )
    if paper is not None and moment < paper.issued_at.replace(second=0, microsecond=0):
        raise ConsentRefusedError(
            why=_(
                "it was said before this version was issued. Correct the day and the hour, or "
                "ask again."
            )
        )
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
