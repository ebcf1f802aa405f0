"""What may be done: written by a consent, by the principal of the house, or in an emergency."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, fields
from decimal import Decimal

from django.db.models import Max
from django.utils.translation import gettext as _

from repairs.audit.actions import deed, record
from repairs.cases.actions import move
from repairs.cases.because import LAST_GIVEN_UP, NEW_WORK
from repairs.cases.locks import locked_case
from repairs.cases.models import Case
from repairs.cases.reasons import HOUSE_REASON
from repairs.findings.models import Finding
from repairs.money import NOTHING
from repairs.people.models import User
from repairs.procedures.models import ProcedureVersion
from repairs.treatment.models import AgreedWork, Intervention
from repairs.treatment.refusals import NotAgreedError
from repairs.treatment.signing import nothing_left


@dataclass(frozen=True, kw_only=True)
class Terms:
    """What holds for all pieces of work that are agreed in one go.

    Ceiling and ``stop_at`` are with tax, the costs beside work by the hour before it.
    """

    basis: str
    reference: str = ""
    agreed_name: str = ""
    because: str = ""
    ceiling: Decimal | None = None
    stop_at: Decimal | None = None
    tax_pct: Decimal = Decimal(0)
    survey_fee: Decimal = NOTHING
    outside_costs: Decimal = NOTHING
    material_costs: Decimal = NOTHING
    hourly_rate: Decimal | None = None
    currency: str = "EUR"
    irreversible_agreed: bool = False
    content_hash: str = ""

    @property
    def other_costs(self) -> dict[str, Decimal]:
        """What was agreed beside work by the hour, by field, before tax."""
        names = ("survey_fee", "outside_costs", "material_costs")
        return {name: getattr(self, name) for name in names}


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """One piece of work to be agreed: a procedure and the findings that it answers."""

    version: ProcedureVersion
    findings: Sequence[Finding] = field(default_factory=tuple)
    title: str = ""


@deed()
def write_agreed(
    case: Case, works: Iterable[Wanted], terms: Terms, *, by: User | None, at: dt.datetime
) -> list[AgreedWork]:
    """Note what was agreed. The caller has checked that it was agreed, and by whom it may be.

    What was agreed before under the same basis and is not begun yet is replaced: the later
    agreement holds. A case that was proved goes back on the bench with it. ``by`` is None when the
    owner decided through a link: then it goes back when somebody of the house begins the work.
    """
    locked = locked_case(case.pk)
    # What is begun is never replaced: its hours were worked under the agreement of that day.
    _replace_unbegun(locked, terms, at)
    last = locked.agreed_works.aggregate(last=Max("number"))["last"] or 0
    rows = []
    for number, wanted in enumerate(works, last + 1):
        blank = AgreedWork(case=locked, number=number, agreed_at=at, noted_by=by)
        rows.append(_keep_agreed(blank, wanted, terms))
        record(by, "work.agreed", case, at=at, agreed=number, basis=terms.basis)
    if rows and by is not None and locked.step == Case.Step.PROVED:
        move(case, Case.Step.ON_BENCH, because=NEW_WORK, by=by, at=at)
    return rows


def _keep_agreed(row: AgreedWork, wanted: Wanted, terms: Terms) -> AgreedWork:
    """Copy the terms onto the row: a later agreement must not change what this one said."""
    row.version, row.title = wanted.version, wanted.title
    for term in fields(terms):
        setattr(row, term.name, getattr(terms, term.name))
    row.save(force_insert=True)
    row.findings.set(wanted.findings)
    return row


def split_worked(
    wanted: Iterable[Wanted], works: Sequence[Intervention]
) -> tuple[list[Wanted], list[Intervention]]:
    """What is still to be agreed to; and the works, begun or done, that answer the rest already.

    A work answers what is wanted under the same procedure for the same findings; for no finding
    in particular, under the same line of words. What is to be done once more after a sign-off has
    a new finding, or other words.
    """
    left, found = [], []
    for one in wanted:
        answer = next((work for work in works if _answers(work, one)), None)
        if answer is None:
            left.append(one)
        elif answer not in found:
            found.append(answer)
    return left, found


def _answers(work: Intervention, wanted: Wanted) -> bool:
    if work.version.key != wanted.version.key:
        return False
    ours = {finding.pk for finding in work.findings.all()}
    theirs = {finding.pk for finding in wanted.findings}
    return theirs <= ours if theirs else not ours and work.agreed.title == wanted.title


def hold_all_to(case: Case, terms: Terms) -> None:
    """Ceiling and costs of the last consent hold for all that stands of earlier ones too."""
    rows = case.agreed_works.filter(superseded_at=None, dropped_at=None, basis=terms.basis)
    rows.update(ceiling=terms.ceiling, stop_at=terms.stop_at, **terms.other_costs)


def _replace_unbegun(case: Case, terms: Terms, at: dt.datetime) -> None:
    """A new consent replaces the earlier one as far as its work is not begun."""
    if terms.basis != AgreedWork.Basis.CONSENT:
        return
    earlier = case.agreed_works.live().filter(basis=terms.basis, interventions=None)
    earlier.update(superseded_at=at)


@deed()
def agree_house_work(
    case: Case, works: Sequence[Wanted], terms: Terms, *, by: User, at: dt.datetime
) -> list[AgreedWork]:
    """The principal decides about an instrument of the house; no estimate is needed.

    Raises NotAgreedError for a case with an owner of its own or one that has ended, and
    StepOrderError before the instrument was looked over.
    """
    locked_case(case.pk)
    _check_here(case)
    if case.reason != HOUSE_REASON:
        raise NotAgreedError(what=_("the instrument is not the house’s own"))
    rows = write_agreed(case, works, terms, by=by, at=at)
    if case.step in (Case.Step.TAKEN_IN, Case.Step.LOOKED_OVER):
        move(case, Case.Step.AGREED, because="", by=by, at=at)
    return rows


def _check_here(case: Case) -> None:
    if case.ended_at is not None:
        raise NotAgreedError(what=_("work on an instrument that has gone"))


@deed()
def agree_emergency(
    case: Case, work: Wanted, *, because: str, by: User, at: dt.datetime
) -> AgreedWork:
    """The principal has something done at once to save the instrument; the owner is told after.

    Raises NotAgreedError without a reason, for work that cannot be undone, and for an instrument
    that has gone.
    """
    _check_here(case)
    if not because.strip():
        raise NotAgreedError(what=_("an emergency needs its reason in words"))
    # What saves an instrument tonight (tape, a clamp, slack strings) can be undone tomorrow; what
    # cannot be undone may wait until its owner is reached.
    if work.version.procedure.is_irreversible:
        raise NotAgreedError(what=_("work that cannot be undone is no emergency measure"))
    terms = Terms(basis=AgreedWork.Basis.EMERGENCY, because=because, agreed_name=str(by))
    return write_agreed(case, [work], terms, by=by, at=at)[0]


@deed()
def drop_work(agreed: AgreedWork, *, because: str, by: User, at: dt.datetime) -> None:
    """Give up agreed work that is not begun, with the reason; it stays on record.

    When nothing else is left to do on the bench, the case is proved with it. Raises NotAgreedError
    when the work was begun (then it is ended and signed off, or described) or stands no more.
    """
    case = locked_case(agreed.case_id)
    row = case.agreed_works.get(pk=agreed.pk)
    if row.interventions.exists():
        raise NotAgreedError(what=_("work that was begun is not given up; end it and say why"))
    if not row.stands:
        raise NotAgreedError(what=_("“%(work)s”, which no longer stands") % {"work": row})
    agreed.dropped_at = row.dropped_at = at
    row.dropped_by, row.dropped_because = by, because
    row.save(update_fields=["dropped_at", "dropped_by", "dropped_because"])
    if case.step == Case.Step.ON_BENCH and nothing_left(case):
        move(case, Case.Step.PROVED, because=LAST_GIVEN_UP, by=by, at=at)
    record(by, "work.dropped", case, at=at, agreed=row.number)
