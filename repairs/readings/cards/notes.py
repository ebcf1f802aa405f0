"""The names of the notes at the keys, as the instrument is tuned: never guessed from its kind."""

from __future__ import annotations

import math

from django.utils.translation import pgettext

from repairs.instruments.pattern import Kind
from repairs.language.text import folded
from repairs.readings.models import Reading
from repairs.readings.parse import parse
from repairs.readings.pitches import fork_hz
from repairs.readings.sheets.catalogue import sheet_of

A4_MIDI = 69


def _names() -> tuple[str, ...]:
    """The twelve names; a black one goes by its sharp, as tuners show it."""
    return (
        pgettext("note", "C"),
        pgettext("note", "C♯"),
        pgettext("note", "D"),
        pgettext("note", "E♭"),
        pgettext("note", "E"),
        pgettext("note", "F"),
        pgettext("note", "F♯"),
        pgettext("note", "G"),
        pgettext("note", "G♯"),
        pgettext("note", "A"),
        pgettext("note", "B♭"),
        pgettext("note", "B"),
    )


def key_note(open_midi: int | None, number: str) -> str:
    """The note of a key, semitones above the open string; empty where that is not known."""
    if open_midi is None or not number.isdecimal():
        return ""
    return _names()[(open_midi + int(number)) % 12]


def open_midi(reading: Reading) -> int | None:
    """What the melody strings are tuned to, by the last set of strings that was read in the stay.

    None where none was read, or where its melody strings are tuned to more than one note.
    """
    rows = reading.case.readings.present().filter(gauge="string_set").order_by("taken_at", "number")
    last = rows.last()
    if last is None:
        return None
    last.case = reading.case
    fork = fork_hz(last.raw.get("fields", {}))
    found = {_midi(hz, fork) for hz in _melody_hz(last)}
    return found.pop() % 12 if len({one % 12 for one in found}) == 1 else None


def _melody_hz(reading: Reading) -> list[float]:
    """The pitches of its melody strings."""
    raw = {"fields": reading.raw.get("fields", {}), "rows": melody_rows(reading)}
    rows = parse(sheet_of("string_set"), raw).rows
    return [row["pitch_hz"] for row in rows if isinstance(row.get("pitch_hz"), float)]


def melody_rows(reading: Reading) -> list[dict[str, str]]:
    """Rows of a set of strings that name a melody string, by the name that the kind gives it."""
    kind = reading.case.instrument.pattern
    names = _words_of(kind, is_melody=True) - _words_of(kind, is_melody=False)
    rows: list[dict[str, str]] = reading.raw.get("rows", [])
    return [row for row in rows if names & set(folded(row.get("name", "")).split())]


def _words_of(kind: Kind, *, is_melody: bool) -> set[str]:
    labels = [one.label for one in kind.strings if (one.role == "melody") is is_melody]
    return {word for label in labels for said in label.values() for word in folded(said).split()}


def _midi(hz: float, fork: float) -> int:
    return round(A4_MIDI + 12 * math.log2(hz / fork))
