"""A part is taken out and put into its bag."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from repairs.treatment.part_models import RemovedPart
from repairs.treatment.parts import remove_part


def bag(work, *, by, part: str = "", originality: str = "", **fields: Any) -> RemovedPart:
    row = work.case.instrument.parts.filter(key=part).first()
    if originality:
        row.originality = originality
        row.save()
    said = {"description": "a thing", "intervention": work, "case": work.case, "part": row}
    return remove_part(RemovedPart(**said | fields), by=by, at=timezone.now())
