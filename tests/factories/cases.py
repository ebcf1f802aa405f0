"""The stay of an instrument."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.utils import timezone

from repairs.cases import actions as case_actions
from repairs.cases.models import Case
from repairs.cases.receipt import issue_receipt
from repairs.instruments.models import Instrument
from repairs.people.models import User
from repairs.press.models import Paper

RECEIVED = dt.datetime(2026, 11, 20, 9, 30, tzinfo=dt.UTC)


def case(instrument: Instrument, *, by: User, **fields: Any) -> Case:
    said = {
        "reason": "repair",
        "owner_words": "It growls once a turn.",
        "state_at_intake": "Crack in the soundboard.\nWheel turns.\nStrings slack.",
        "received_at": RECEIVED,
        "place": "Shelf 2",
        "room_t_c": Decimal("18.5"),
        "room_rh_pct": Decimal("46"),
        "promised_on": dt.date(2026, 12, 18),
    } | fields
    return case_actions.take_in(
        Case(instrument=instrument, owner=instrument.owner, **said), by=by, at=timezone.now()
    )


def looked_over(case: Case, *, by: User) -> Case:
    """Move the case to where an estimate may be issued."""
    if case.step == Case.Step.TAKEN_IN:
        case_actions.move(case, Case.Step.LOOKED_OVER, because="", by=by, at=timezone.now())
    return case


def receipt(case: Case, *, by: User) -> Paper:
    """The intake receipt of a case, issued."""
    return issue_receipt(case, language="en", by=by, at=timezone.now())
