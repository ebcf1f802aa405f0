"""The label of a removed part's bag."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.conf import settings
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _

from repairs.instruments.hazards import label_words
from repairs.language.dates import day_words
from repairs.people.block import house_block
from repairs.press.document import Sheet
from repairs.treatment.part_models import RemovedPart


@dataclass(frozen=True, kw_only=True)
class BagLabel:
    """What must still be legible in fifty years: of what instrument, what, from where, when."""

    bag: str
    instrument: str
    instrument_number: str
    description: str
    part: str
    position: str
    originality: str
    removed: str
    address: str
    hazards: tuple[str, ...]


def bag_label(piece: RemovedPart, *, language: str, made_at: dt.datetime) -> Sheet:
    """Compile the label in the wanted language; its QR code opens the piece's page."""
    case = piece.case
    address = reverse("treatment:bag", args=[case.number, piece.number])
    with translation.override(language):
        body = BagLabel(
            bag=piece.bag,
            instrument=str(case.instrument),
            instrument_number=case.instrument.number,
            description=piece.description,
            part=piece.part.label() if piece.part else "",
            position=piece.position,
            originality=piece.part.originality_label if piece.part else "",
            removed=f"{day_words(piece.removed_at)}, {piece.removed_by}",
            address=settings.SITE_ADDRESS + address,
            hazards=label_words(case.instrument.standing_hazards, most=1),
        )
        return Sheet(
            kind="label",
            template="treatment/bag_label.html",
            subject=case.log_key,
            language=language,
            title=_("Label of bag %(bag)s") % {"bag": piece.bag},
            reference=case.number,
            house=house_block(),
            made_at=made_at,
            body=body,
        )
