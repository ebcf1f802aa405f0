"""A reading that every case permits."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from repairs.cases.models import Case
from repairs.people.models import User
from repairs.readings import actions as reading_actions
from repairs.readings.models import Reading


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
