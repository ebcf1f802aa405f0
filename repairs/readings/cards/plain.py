"""Cards of whatever prescribes in words: crack, cleats, voicing, dog."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from repairs.readings.cards.base import BenchCard, CardLine, about, starts
from repairs.readings.cards.codes import CUTS, NOTHING_TO_DO, SAYINGS, drawings_of, turn_of
from repairs.readings.models import Prescription, Reading, Result
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.show import prescription_words

LinesOf = Callable[[list[Prescription]], list[CardLine]]


def plain_lines(rows: list[Prescription]) -> list[CardLine]:
    """Each act in its own words."""
    return [
        CardLine(
            str(row.position),
            "",
            "",
            "",
            prescription_words(row),
            "",
            is_cut=row.irreversible or starts(row.code, CUTS),
            is_told=True,
        )
        for row in rows
    ]


def plain_cards(reading: Reading, result: Result) -> list[BenchCard]:
    return [plain_card(reading, result, plain_lines)]


def dog_cards(reading: Reading, result: Result) -> list[BenchCard]:
    """As the others; the play that was measured in its slot is spoken of, nobody judges it."""
    card = plain_card(reading, result, plain_lines)
    play = str(reading.raw.get("fields", {}).get("play_mm", "")).strip()
    if not play:
        return [card]
    words = _(
        "Play in its slot: %(play)s mm. Too much is taken up by paper or veneer glued to one cheek "
        "of the slot; the dog must still drop by itself."
    ) % {"play": play}
    return [replace(card, sayings=(*card.sayings, words))]


def plain_card(reading: Reading, result: Result, lines_of: LinesOf) -> BenchCard:
    """A card of the acts in the order of the hands, below what is said of the whole."""
    rows = [row for row in result.prescriptions.all() if not starts(row.code, NOTHING_TO_DO)]
    acts = sorted((row for row in rows if not starts(row.code, SAYINGS)), key=_place)
    return BenchCard(
        key=str(reading.pk),
        title=capfirst(str(sheet_of(reading.gauge).label)),
        about=about(reading),
        lines=tuple(lines_of(acts)),
        sayings=tuple(prescription_words(row) for row in rows if starts(row.code, SAYINGS)),
        left_handed=reading.case.instrument.left_handed,
        drawings=drawings_of([row.code for row in acts]),
    )


def _place(row: Prescription) -> tuple[int, int]:
    """As the hands go; what a gauge put in an order of its own keeps it."""
    return turn_of(row.code), row.position
