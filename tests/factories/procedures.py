"""Procedures of the house for tests."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from repairs.people.models import User
from repairs.procedures import versions
from repairs.procedures.models import ProcedureVersion
from repairs.procedures.procedure import content_hash, shipped

PROCEDURES: dict[str, tuple[str, int, int]] = {
    "seam": ("reversible", 60, 90),
    "cleats": ("partly", 120, 180),
    "turning": ("irreversible", 120, 240),
}


def procedure(key: str) -> ProcedureVersion:
    """A procedure of the house for tests, whatever comes with the casebook."""
    grade, low, high = PROCEDURES[key]
    label = {"en": f"the {key} of a test", "fr": f"essai {key}"}
    content = {
        "key": key,
        "label": label,
        "group": "wood",
        "families": [],
        "purpose": {"en": "To try it.", "fr": "Pour essayer."},
        "cautions": [],
        "steps": [{"key": "do", "label": label}],
        "materials": [],
        "readings": [],
        "asks": [],
        "photos": [],
        "reversibility": {
            "grade": grade,
            "words": {"en": f"It is {grade}.", "fr": f"C’est {grade}."},
        },
        "touches": [],
        "minutes": [low, high],
        "source": "of a test",
    }
    known = ProcedureVersion.objects.filter(key=key).first()
    return known or ProcedureVersion.objects.create(
        key=key,
        version=1,
        content=content,
        content_hash=content_hash(content),
        origin=ProcedureVersion.Origin.HOUSE,
        made_at=timezone.now(),
    )


def procedure_version(key: str = "trial", *, by: User, **changed: Any) -> ProcedureVersion:
    """A procedure of the house: the free one as delivered, but for what is changed."""
    content = dict(shipped()["free"]) | {"key": key} | changed
    return versions.reword(key, content, because="for a test", by=by, at=timezone.now())
