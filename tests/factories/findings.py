"""What was seen, and the judgement of the whole."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.utils import timezone

from repairs.cases.models import Case
from repairs.findings import actions as finding_actions
from repairs.findings.look_models import Examination
from repairs.findings.models import Finding
from repairs.people.models import User


def finding(case: Case, *, by: User, part: str = "soundboard", **fields: Any) -> Finding:
    said = {
        "term": "crack",
        "location": "beside the keybox",
        "extent_value": Decimal("146"),
        "extent_unit": "mm",
        "severity": 3,
        "stability": "active",
        "urgency": 1,
        "cause": "climate",
    } | fields
    row = case.instrument.parts.get(key=part)
    return finding_actions.add_finding(
        Finding(case=case, part=row, **said), by=by, at=timezone.now()
    )


def examination(case: Case, *, by: User, **fields: Any) -> Examination:
    said = {
        "examiner": by,
        "examined_on": dt.date(2026, 11, 21),
        "place": "north bench",
        "methods": "daylight, lens",
        "overall_grade": "3",
        "overall_state": "Sound but cracked.",
        "urgency": "1",
        "playable_state": "Not tried.",
        "advice": "Keep it slack.",
    } | fields
    return finding_actions.save_examination(
        Examination(case=case, **said), seen=0, by=by, at=timezone.now()
    )
