"""What went into a work and what came out of it: materials, new parts, bags."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.translation import gettext as _

from repairs.instruments.part_models import Part
from repairs.language.dates import day_words
from repairs.language.text import decimal_words
from repairs.papers.blocks.treatment_document import (
    BagLine,
    MaterialLine,
    NewPartLine,
)
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart

Parts = Mapping[int, Part]


def material_line(use: MaterialUse) -> MaterialLine:
    """A material used, with its lot, and the glue's temperature in °C."""
    amount = decimal_words(use.amount) if use.amount is not None else ""
    glue = f"{decimal_words(use.glue_t_c)}\u00a0°C" if use.glue_t_c is not None else ""
    return MaterialLine(
        name=use.name,
        amount=f"{amount}\u00a0{use.unit}".strip() if amount else "",
        lot=use.lot,
        glue=glue,
    )


def new_part_line(row: NewPart, parts: Parts) -> NewPartLine:
    """A new part, of what it was made and how it is marked as new."""
    part = parts.get(row.part_id) if row.part_id else None
    return NewPartLine(
        description=row.description,
        part=part.label() if part else "",
        material=row.material_words,
        origin=origin_words(row),
        marking=row.marking,
    )


def origin_words(row: NewPart) -> str:
    """From where it came: “the wood store, piece B-0003”, “bought, supplier and lot”."""
    piece = row.withdrawal.piece if row.withdrawal else None
    number = _("piece %(number)s") % {"number": piece.number} if piece else ""
    said = (str(row.get_origin_display()), number, row.supplier)
    return ", ".join(part for part in said if part)


def bag_line(piece: RemovedPart, parts: Parts, *, is_shown: bool = False) -> BagLine:
    """One bag as a list shows it; ``is_shown``: with its photo, not its number only."""
    part = parts.get(piece.part_id) if piece.part_id else None
    removed = {"day": day_words(piece.removed_at), "who": piece.removed_by}
    return BagLine(
        bag=piece.bag,
        description=piece.description,
        part=part.label() if part else "",
        originality=part.originality_label if part else "",
        position=piece.position,
        removed=_("%(day)s, by %(who)s") % removed,
        fate=str(piece.get_fate_display()),
        fate_words=piece.fate_words,
        photo=piece.photo.number if piece.photo else 0,
        is_consumable=piece.is_consumable,
        picture=piece.photo.on_paper if is_shown and piece.photo else None,
    )
