"""Work that was agreed, begun, ticked and signed off."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django.utils import timezone

from repairs.cases import actions as case_actions
from repairs.cases.models import Case
from repairs.findings.models import Finding
from repairs.people.models import User
from repairs.procedures import versions
from repairs.procedures.models import ProcedureVersion
from repairs.treatment import actions as treatment_actions
from repairs.treatment.agree import Terms, Wanted, write_agreed
from repairs.treatment.models import AgreedWork, Intervention, SignOff, StepNote
from repairs.treatment.proof import proof_of
from repairs.treatment.signing import sign_off


def agreed_works(case: Case, *wanted: Wanted, by: User | None, **terms: Any) -> list[AgreedWork]:
    """Pieces of work to which the owner agreed in one go; the case has come so far with them."""
    now = timezone.now()
    said: dict[str, Any] = {
        "basis": AgreedWork.Basis.CONSENT,
        "agreed_name": case.owner.name,
        "hourly_rate": Decimal("60.00"),
    } | terms
    rows = write_agreed(case, wanted, Terms(**said), by=by, at=now)
    case.refresh_from_db()
    for step in (Case.Step.LOOKED_OVER, Case.Step.AGREED):
        if case.path.index(case.step) < case.path.index(step):
            assert by is not None  # a step has always somebody of the house behind it
            case_actions.move(case, step, because="", by=by, at=now)
    return rows


def agreed_work(
    case: Case,
    procedure: str | ProcedureVersion = "open_seam",
    *findings: Finding,
    by: User | None,
    **terms: Any,
) -> AgreedWork:
    version = procedure
    if isinstance(version, str):
        version = versions.pin(version, at=timezone.now())
    return agreed_works(case, Wanted(version=version, findings=findings), by=by, **terms)[0]


def begun_work(
    agreed: AgreedWork,
    *,
    by: User,
    parts: Iterable[str] = (),
    at: dt.datetime | None = None,
    **fields: Any,
) -> Intervention:
    """Begun on the named parts, answering whatever was agreed."""
    case = Case.objects.with_names().get(pk=agreed.case_id)
    row = treatment_actions.open_work(
        Intervention(case=case, agreed=agreed, **fields),
        findings=list(agreed.findings.all()),
        parts=list(case.instrument.parts.filter(key__in=parts)),
        by=by,
        at=at or timezone.now(),
    )
    row.case = case
    return row


def ticked(work: Intervention, *, by: User) -> Intervention:
    """Every step done as written."""
    steps = work.version.procedure.steps
    notes = [StepNote(step=step.key, state=StepNote.State.DONE) for step in steps]
    treatment_actions.note_steps(work, notes, by=by, at=timezone.now())
    return work


def signed_off(work: Intervention, *, by: User, reason: str = "It holds.") -> SignOff:
    """Signed off, with the reason for whatever is not as it must be."""
    reasons = {one.key: reason for one in proof_of(work) if one.asks}
    return sign_off(work, reasons=reasons, words="", by=by, at=timezone.now())
