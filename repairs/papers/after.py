"""What else happens when a paper is issued, in the same transaction."""

from __future__ import annotations

import datetime as dt

from repairs.cases.actions import hand_back, move
from repairs.cases.hand_back_models import HandBack
from repairs.cases.locks import locked_case
from repairs.cases.models import Case
from repairs.papers.needs.leaving import check_may_leave
from repairs.people.models import User


def report_survey(case: Case, *, by: User, at: dt.datetime) -> None:
    """A survey ends in its report; other stays go on to an agreement."""
    locked_case(case.pk)
    if case.step == Case.Step.LOOKED_OVER and Case.Step.REPORTED in case.path:
        move(case, Case.Step.REPORTED, because="", by=by, at=at)


def end_stay(case: Case, *, by: User, at: dt.datetime) -> None:
    """Let the instrument go as it was written down; a later version of the receipt changes nothing.

    Raises HandBackError when something keeps it here, StepOrderError and CustodyError as the case
    does.
    """
    locked_case(case.pk)
    row = HandBack.objects.filter(case=case).last()
    if row is None or row.done_at is not None:
        return
    row.case = case
    check_may_leave(Case.objects.get(pk=case.pk), row)
    hand_back(row, by=by, at=at)
