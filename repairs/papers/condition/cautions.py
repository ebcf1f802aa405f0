"""What the reader of a report must beware of: protected materials and hazards."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _

from repairs.instruments.kinds import material_label
from repairs.instruments.part_models import Part
from repairs.instruments.scales import scale_entry
from repairs.language.text import in_language
from repairs.papers.blocks.document import (
    Hazard,
)


def _protection_words(part: Part) -> str:
    if part.protection:
        return _("listed: see below")
    return _("not listed") if part.material else _("not known")


def protected_rows(parts: list[Part]) -> tuple[tuple[str, str, str], ...]:
    """Parts of protected material: part, material, what the rules say of it."""
    return tuple(
        (part.label(), material_label(part.material), in_language(part.protection["note"]))
        for part in parts
        if part.protection
    )


def hazard_cautions(keys: Iterable[str]) -> tuple[Hazard, ...]:
    """The hazards with what to do about each, in the reader's language."""
    rows = []
    for key in keys:
        entry = scale_entry("hazards", key)
        if entry:
            rows.append(
                Hazard(
                    key=str(key),
                    label=in_language(entry["label"]),
                    caution=in_language(entry.get("caution")),
                )
            )
    return tuple(rows)
