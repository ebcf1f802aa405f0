"""Whether an instrument may go home: what keeps it here, and what had better be settled first."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.cases.custody_models import Custody
from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.cases.refusals import HandBackError
from repairs.findings.look_models import Examination
from repairs.language.text import in_language
from repairs.storage.fixtures import read_fixture
from repairs.treatment.models import WorkSpell
from repairs.treatment.part_models import RemovedPart


def blocking_words(case: Case) -> list[str]:
    """What must be settled before the instrument may leave, a sentence each."""
    said = []
    if case.ended_at is not None:
        said.append(_("The stay has ended already."))
    open_works = case.interventions.filter(sign_off=None).values_list("number", flat=True)
    if open_works:
        numbers = ", ".join(str(number) for number in open_works)
        said.append(
            ngettext(
                "Work %(numbers)s is begun and not signed off.",
                "Works %(numbers)s are begun and not signed off.",
                len(open_works),
            )
            % {"numbers": numbers}
        )
    elif case.step == Case.Step.ON_BENCH:
        said.append(_("It is on the bench: give up the agreed work that will not be done."))
    said += [
        _("A clock of %(who)s still runs on work %(number)s.")
        % {"who": spell.person, "number": spell.intervention.number}
        for spell in _running(case)
    ]
    if not case.custody.filter(until=None, holder=Custody.Holder.WORKSHOP).exists():
        said.append(_("The workshop does not hold the instrument."))
    return said


def _running(case: Case) -> list[WorkSpell]:
    rows = WorkSpell.objects.filter(intervention__case=case, ended_at=None)
    return list(rows.select_related("person", "intervention"))


def needs_reason(case: Case) -> bool:
    """Whether the stay would end before any work was done, and so must say why."""
    return case.step not in (*case.path[-2:], Case.Step.ON_BENCH)


def mismatch_words(case: Case, row: HandBack) -> list[str]:
    """What was written down while the case stood elsewhere, and no longer fits where it stands."""
    if row.why_unworked and not needs_reason(case):
        return [
            _("It was written down that it goes home unworked. Write it down anew: work was done.")
        ]
    if needs_reason(case) and not row.why_unworked:
        return [_("It goes home unworked, and nobody has written down why.")]
    return []


def warning_words(case: Case) -> list[str]:
    """What does not keep the instrument here, but is easily forgotten."""
    return [*_unbegun(case), *_kept_bags(case)]


def _unbegun(case: Case) -> list[str]:
    rows = case.agreed_works.live().filter(interventions=None)
    return [_("It was agreed to and is not begun: %(work)s.") % {"work": row} for row in rows]


def _kept_bags(case: Case) -> list[str]:
    rows = case.removed_parts.filter(fate=RemovedPart.Fate.KEPT)
    kept = [piece.bag for piece in rows.select_related("case")]
    if not kept:
        return []
    words = ngettext(
        "Bag %(bags)s is still kept here. Give it back, or leave it here on purpose.",
        "Bags %(bags)s are still kept here. Give them back, or leave them here on purpose.",
        len(kept),
    )
    return [words % {"bags": ", ".join(kept)}]


def check_may_leave(case: Case, row: HandBack) -> None:
    """Raise HandBackError with all that keeps the instrument here."""
    if said := [*blocking_words(case), *mismatch_words(case, row)]:
        raise HandBackError(number=case.number, why=" ".join(said))


def row_for(case: Case) -> HandBack:
    """What is being written down already, or a blank with what is likely filled in."""
    row = case.hand_backs.filter(done_at=None).last()
    if row is not None:
        row.case = case
        return row
    last = Examination.objects.filter(case=case).first()
    ending = case.path[-1]
    to_stock = ending == Case.Step.TO_STOCK
    return HandBack(
        case=case,
        ending=ending,
        received_name="" if to_stock else case.owner.name,
        items=case.received_items,
        reserve="" if to_stock else _usual_reserve(case),
        next_check_on=last.next_check_on if last else None,
    )


def _usual_reserve(case: Case) -> str:
    """The guarantee as it is usually given; the house gives itself none on what is its own."""
    worked = "worked" if case.interventions.exists() else "unworked"
    return in_language(reserves()[worked]["words"], case.owner.language)


@cache
def reserves() -> Mapping[str, Any]:
    """The usual words on the guarantee, of work done and of none."""
    known: Mapping[str, Any] = read_fixture("vocabulary/reserve.json")
    return known
