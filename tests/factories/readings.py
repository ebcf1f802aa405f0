"""A reading that every case permits."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from repairs.cases.models import Case
from repairs.instruments.kinds import kinds
from repairs.people.models import User
from repairs.readings import actions as reading_actions
from repairs.readings.models import Reading
from tests.factories import cases, instruments


def string_reading(case: Case, *, by: User, **fields: Any) -> Reading:
    """A reading that every case permits: one string, as it was typed."""
    row = {
        "name": "chanterelle",
        "length_mm": "345",
        "pitch_hz": "392",
        "diameter_mm": "0,81",
        "material": "gut",
        "density_kg_m3": "",
        "break_deg": "",
    }
    said = {
        "gauge": "string_set",
        "taken_at": timezone.now(),
        "raw": {"fields": {}, "rows": [row]},
    } | fields
    return reading_actions.save_reading(Reading(case=case, **said), by=by, at=timezone.now())


def read_with(gauge: str, case: Case, *, by: User) -> Case:
    """The case, or another of its owner's whose kind is read with that gauge, if any kind is."""
    fitting = [slug for slug, kind in kinds().items() if gauge in {s.gauge for s in kind.sheets}]
    if case.instrument.kind in fitting or not fitting:
        return case
    return cases.case(instruments.instrument(case.owner, by=by, kind=fitting[0]), by=by)
