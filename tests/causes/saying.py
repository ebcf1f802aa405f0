"""What the tests of “it was this” share: cases of one kind, closed ones, and what is sent."""

from __future__ import annotations

import uuid
from typing import Any

from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.causes.actions import Said, say_what_it_was
from repairs.causes.models import WhatItWas
from repairs.causes.practice import standing_of
from repairs.people.models import User
from tests import factories

OFF, LIP = "wheel_eccentric", "rim_joint_lip"


def address(case: Case) -> str:
    return reverse("readings:what_it_was", args=[case.number])


def text(answer: Any) -> str:
    return " ".join(answer.content.decode().split())


def page(client: Any, case: Case, **told: Any) -> str:
    return text(client.get(reverse("readings:diagnosis", args=[case.number]), told))


def typed(case: Case, *causes: str, **more: Any) -> dict[str, Any]:
    standing = standing_of(case)
    known = standing.pk if standing else 0
    return {"cause": list(causes), "tap": str(uuid.uuid4()), "known": known, **more}


def last(case: Case) -> WhatItWas:
    row = standing_of(case)
    assert row is not None
    return row


def say(case: Case, *causes: str, by: User, known: int = 0, **more: Any) -> WhatItWas:
    said = Said(frozenset(causes), uuid.uuid4(), known, **more)
    return say_what_it_was(case, said, by=by, at=timezone.now())


def closed(case: Case) -> Case:
    Case.objects.filter(pk=case.pk).update(ended_at=timezone.now(), step=Case.Step.HANDED_BACK)
    case.refresh_from_db()
    return case


def another(case: Case, *, by: User, **fields: Any) -> Case:
    owner = case.instrument.owner
    return factories.case(factories.instrument(owner, by=by, **fields), by=by)
