"""The intake receipt, issued: the paper that the owner takes home instead of the instrument."""

from __future__ import annotations

import datetime as dt
from functools import partial

from repairs.cases.compile import intake_receipt
from repairs.cases.locks import locked_case
from repairs.cases.models import Case
from repairs.cases.paper_kinds import INTAKE_RECEIPT
from repairs.people.models import User
from repairs.press.actions import issue, propose_seal
from repairs.press.models import Paper


def issue_receipt(case: Case, *, language: str, by: User, at: dt.datetime) -> Paper:
    """Print, seal and keep the receipt of what the intake says now.

    Raises PreviewOutdatedError when another was issued meanwhile.
    """
    seal = propose_seal(INTAKE_RECEIPT, case.log_key, by=by, at=at)
    sheet = intake_receipt(case, language=language, made_at=at, seal=seal)
    return issue(sheet, by=by, hold=partial(locked_case, case.pk))
