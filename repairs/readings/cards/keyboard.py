"""Cards of the keyboard: one a string, with a row for each tangent that is to be moved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.language.text import rounded
from repairs.readings.cards.base import BenchCard, CardLine, KeyPlace, about, far_words
from repairs.readings.cards.codes import MOVED, OF_THE_KEY, drawings_of
from repairs.readings.cards.ends import ENDS, end_lines
from repairs.readings.cards.notes import key_note, open_midi
from repairs.readings.key_words import turn_words
from repairs.readings.models import Prescription, Reading, Result
from repairs.readings.sheets.keyboard_cells import named
from repairs.readings.show import prescription_words


def keyboard_cards(reading: Reading, result: Result) -> list[BenchCard]:
    rows = list(result.prescriptions.all())
    is_moved = any(row.code in MOVED for row in rows)
    midi = open_midi(reading) if is_moved else None
    cards = [_string_card(reading, string, rows, midi) for string in result.output["strings"]]
    ends = tuple(end_lines(rows))
    if not ends or not cards:
        return cards
    # One bridge carries all strings: it is moved once, on the first card.
    first, *others = cards
    title = _("Bridge and nut first") if not first.lines else first.title
    return [replace(first, title=title, lines=(*ends, *first.lines)), *others]


def _string_card(
    reading: Reading, string: Mapping[str, object], rows: Sequence[Prescription], midi: int | None
) -> BenchCard:
    name = str(string["name"])
    moved = _moved(name, rows)
    numbers = [str(line["key"]) for line in string["keys"]]  # type: ignore[attr-defined]
    wrong = [number for number in numbers if number in moved]
    left_handed = reading.case.instrument.left_handed
    return BenchCard(
        key=f"{reading.pk}-{name}",
        title=_tangents(len(wrong)),
        about=about(reading, named(name), _length_words(reading)),
        lines=tuple(
            _tangent_line(number, moved[number], midi, left_handed=left_handed) for number in wrong
        ),
        sayings=tuple(
            prescription_words(row) for row in rows if _is_said(row.code) and _is_of(row, name)
        ),
        leave=_others(len(numbers) - len(wrong)),
        hint=_(
            "Turn the tangent by the smallest gesture, play again, then tick. Towards the wheel "
            "the string grows shorter: the note rises. The sense of a turn is as seen from above, "
            "into the open keybox."
        ),
        keys=tuple(KeyPlace(number, number in moved) for number in numbers),
        left_handed=left_handed,
        keys_said=_keys_words(numbers, wrong),
        drawings=drawings_of([row.code for row in rows if _is_of(row, name)]),
    )


def _keys_words(numbers: Sequence[str], wrong: Sequence[str]) -> str:
    said = {"count": len(numbers), "wrong": ", ".join(wrong)}
    return _("%(count)s keys; to be moved: %(wrong)s") % said


def _is_said(code: str) -> bool:
    """What stands above the rows: all that neither a row nor the ends say."""
    return code.startswith("keys.") and code not in (*MOVED, *ENDS)


def _moved(string: str, rows: Sequence[Prescription]) -> dict[str, Prescription]:
    """What moves a tangent of that string, by the number of its key."""
    parted = [(row.target.partition(", "), row) for row in rows if row.code in MOVED]
    return {number: row for (name, _comma, number), row in parted if name == string}


def _length_words(reading: Reading) -> str:
    length = reading.raw.get("fields", {}).get("length_mm", "")
    return _("speaking length %(length)s mm") % {"length": length} if length else ""


def _is_of(row: Prescription, string: str) -> bool:
    """Whether a line speaks of that string; others name only their key."""
    return (
        row.code in OF_THE_KEY
        or row.details.get("other") == string
        or row.target.partition(", ")[0] == string
    )


def _tangents(count: int) -> str:
    said = ngettext("%(count)s tangent to move", "%(count)s tangents to move", count)
    return said % {"count": count}


def _others(count: int) -> str:
    if count < 1:
        return ""
    said = ngettext(
        "The other key stands right: do not touch it.",
        "The %(count)s other keys stand right: do not touch them.",
        count,
    )
    return said % {"count": count}


def _tangent_line(
    number: str, row: Prescription, midi: int | None, *, left_handed: bool
) -> CardLine:
    amount = row.amount or 0.0
    way = _way(amount > 0, left_handed=left_handed)
    if row.code == "keys.re_pin":
        way = _("%(way)s, re-pin") % {"way": way}
    if row.code == "keys.bend":
        way = _("nearer to the string") if amount > 0 else _("away from the string")
    note = key_note(midi, number)
    return CardLine(
        key=str(row.position),
        name=note or number,
        where=_("key %(number)s") % {"number": number} if note else _("key"),
        far=far_words(amount, row.unit, 1 if abs(amount) >= 0.05 else 2),
        way=way,
        why=_cents_words(row),
    )


def _way(to_wheel: bool, *, left_handed: bool) -> str:
    """Along the string, with the arrow as whoever stands over the instrument sees it."""
    if left_handed:
        return _("← towards the wheel") if to_wheel else _("towards the nut →")
    return _("towards the wheel →") if to_wheel else _("← towards the nut")


def _turn_words(turn_deg: float, sense: int | None) -> str:
    said = {"turn": turn_words(turn_deg)}
    if sense is None:
        return _("turn by %(turn)s°") % said
    form = _("turn %(turn)s° ↻ clockwise") if sense > 0 else _("turn %(turn)s° ↺ anticlockwise")
    return form % said


def _cents_words(row: Prescription) -> str:
    cents, turn = row.details.get("cents"), row.details.get("turn")
    said = []
    if cents is not None:
        form = _("%(cents)s cents flat") if cents < 0 else _("%(cents)s cents sharp")
        places = 0 if abs(cents) >= 1 else 1
        said.append(form % {"cents": rounded(abs(cents), places)})
    if row.code == "keys.turn" and turn is not None:
        said.append(_turn_words(turn, row.details.get("sense")))
    bend = row.details.get("bend")
    if bend and row.code != "keys.bend":
        form = _("then %(bend)s mm nearer") if bend > 0 else _("then %(bend)s mm away")
        said.append(form % {"bend": rounded(abs(bend), 2)})
    return " · ".join(said)
