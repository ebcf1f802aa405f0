"""Pitches of a sheet, typed in Hz or as notes: read, said back, and what cannot be read refused."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.language.pitch import FORK_HZ, Pitch, PitchError, read_pitch
from repairs.language.pitch_words import pitch_words
from repairs.readings.sheets.base import Cell, Text
from repairs.screens.fields import read_decimal

FORK = "a_hz"  # the cell of the pitch that the others are counted from
FORK_CELL = Cell(
    FORK,
    gettext_lazy("pitch of the fork (a′, la3)"),
    "Hz",
    required=False,
    least=340,
    most=560,
    likely=(385, 470),
    is_pitch=True,
    help=gettext_lazy(
        "Pitches are typed in Hz (392; 415.3 Hz) or as notes: G4 (scientific, Young 1939), sol3 "
        "(French, la3 on the fork) or g′ (Helmholtz) are one and the same. Cents go behind: D4 "
        "+12. Notes are counted in equal temperament from this fork, 440 Hz (ISO 16) where "
        "nothing is typed."
    ),
)
NOTES_HELP = gettext_lazy(
    "In Hz (392; 415.3 Hz) or as a note: G4 (scientific, Young 1939), sol3 (French, la3 on the "
    "fork) or g′ (Helmholtz) are one and the same, in equal temperament from 440 Hz (ISO 16)."
)


def pitch_cell(label: Text, likely: tuple[float, float]) -> Cell:
    """The pitch of a string, in Hz or as a note."""
    return Cell("pitch_hz", label, "Hz", least=16, most=5000, likely=likely, is_pitch=True)


# What a note may lie between where its cell sets no ends.
ENDS_HZ = (16.0, 5000.0)


def fork_hz(fields: Mapping[str, Any]) -> float:
    """The fork as it was typed for a sheet; the standard one where nothing usable was."""
    typed = str(fields.get(FORK, ""))
    if not typed:
        return FORK_HZ
    try:
        found = read_cell(FORK_CELL, typed, FORK_HZ).hz
    except (PitchError, ValidationError):
        return FORK_HZ
    least, most = FORK_CELL.least or 0.0, FORK_CELL.most or 0.0
    return found if least <= found <= most else FORK_HZ


def read_cell(cell: Cell, typed: str, fork: float) -> Pitch:
    """The pitch that was typed. Raises PitchError, or ValidationError for a bad number."""
    if typed[:1].isdecimal() or typed[:1] in "+-−.":
        try:
            return Pitch(float(read_decimal(typed) or 0.0))
        except ValidationError:
            if not typed[:1].isdecimal():
                raise
    ends = cell.likely or (cell.least or ENDS_HZ[0], cell.most or ENDS_HZ[1])
    return read_pitch(typed, ends, FORK_HZ if cell.key == FORK else fork)


def asked_words(pitch: Pitch, typed: str, fork: float) -> str:
    """What a letter by itself was read as: to be confirmed."""
    words = _(
        "“%(typed)s” was read as Helmholtz writes it: %(read)s. Write its octave with a figure, or "
        "tick that it is so."
    )
    return words % {"typed": typed, "read": pitch_words(pitch, fork)}


def read_as(cell: Cell, typed: str, fork: float) -> str:
    """What a typed note was read as, “sol3 (g′) = 392,0 Hz”; empty for Hz and for what is none."""
    try:
        pitch = read_cell(cell, typed, fork) if typed else None
    except (PitchError, ValidationError):
        return ""
    if pitch is None or pitch.note is None:
        return ""
    return pitch_words(pitch, FORK_HZ if cell.key == FORK else fork)
