"""Work is begun on the parts that are named."""

from __future__ import annotations

from django.utils import timezone

from repairs.cases.models import Case
from repairs.treatment.actions import open_work
from repairs.treatment.models import Intervention


def begin(agreed, *, by, findings=(), parts=()) -> Intervention:
    case = Case.objects.with_names().get(pk=agreed.case_id)
    chosen = list(case.instrument.parts.filter(key__in=parts))
    row = Intervention(case=case, agreed=agreed)
    return open_work(row, findings=list(findings), parts=chosen, by=by, at=timezone.now())
