"""The card of the bench: of a reading only what the hands have to do, in their order."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.language.text import rounded
from repairs.readings.models import Prescription, Reading, Result
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.sheets.keyboard import named
from repairs.readings.show import prescription_words, saved
from repairs.screens.fields import air_words

NBSP = "\u00a0"
MOVED = ("keys.turn", "keys.move", "keys.re_pin")
# What a reading says of the whole, or guesses: it stands above the lines, nobody ticks it.
SAYINGS = (
    "wheel.re",
    "wheel.need",
    "wheel.form",
    "wheel.consent",
    "wheel.prepare",
    "wheel.ask",
    "wheel.bearing",
    "wheel.keep",
    "hint.",
    "action.first",
    "action.open",
    "crack.order",
    "cleats.grain",
)
# Where a gauge finds nothing to do, there is no card.
NOTHING_TO_DO = ("wheel.leave", "wheel.not_judged", "action.all", "crack.not_judged", "climate.")


@dataclass(frozen=True)
class CardLine:
    """One thing to do: where, how far, which way, and why. ``key`` names its tick."""

    key: str
    name: str
    where: str
    far: str
    way: str
    why: str


@dataclass(frozen=True)
class KeyPlace:
    """A key of the keyboard as the row draws it."""

    number: str
    is_wrong: bool


@dataclass(frozen=True)
class BenchCard:
    """What is done at the bench after one reading, ready to be laid out."""

    key: str
    title: str
    about: str
    lines: tuple[CardLine, ...]
    sayings: tuple[str, ...] = ()
    leave: str = ""
    hint: str = ""
    keys: tuple[KeyPlace, ...] = ()
    keys_said: str = ""
    left_handed: bool = False
    chart: str = ""
    chart_said: str = ""


def cards_of(reading: Reading) -> list[BenchCard]:
    """The cards of a reading, one a string of the keyboard; none where nothing is to be done."""
    result = reading.latest
    if result is None:
        return []
    told = _CARDS.get(reading.gauge, _plain_cards)
    return [card for card in told(reading, result) if card.lines]


def _about(reading: Reading, *more: str) -> str:
    """Which reading it is, and the air in which it was taken."""
    air = air_words(reading.room_t_c, reading.room_rh_pct)
    day = date_format(localtime(reading.taken_at), "DATE_FORMAT")
    which = _("reading %(number)s") % {"number": reading.number}
    return " · ".join(one for one in (which, reading.subject, *more, day, air) if one)


def _far(amount: float, unit: str, places: int) -> str:
    """A distance, to the digit that a hand can follow."""
    return f"{rounded(abs(amount), places)}{NBSP}{unit}"


def _said(code: str, starts: Sequence[str]) -> bool:
    return any(code.startswith(start) for start in starts)


# The keyboard ----------------------------------------------------------------------------------


def _keyboard_cards(reading: Reading, result: Result) -> list[BenchCard]:
    rows = list(result.prescriptions.all())
    return [_string_card(reading, string, rows) for string in result.output["strings"]]


def _string_card(
    reading: Reading, string: Mapping[str, object], rows: Sequence[Prescription]
) -> BenchCard:
    name = str(string["name"])
    moved = _moved(name, rows)
    numbers = [str(line["key"]) for line in string["keys"]]  # type: ignore[attr-defined]
    wrong = [number for number in numbers if number in moved]
    left_handed = reading.case.instrument.left_handed
    return BenchCard(
        key=f"{reading.pk}-{name}",
        title=_tangents(len(wrong)),
        about=_about(reading, named(name), _length_words(reading)),
        lines=tuple(
            _tangent_line(number, moved[number], left_handed=left_handed) for number in wrong
        ),
        sayings=tuple(
            prescription_words(row)
            for row in rows
            if row.code.startswith("keys.") and row.code not in MOVED and _is_of(row, name)
        ),
        leave=_others(len(numbers) - len(wrong)),
        hint=_(
            "Turn the tangent by the smallest gesture, play again, then tick. Towards the wheel "
            "the string grows shorter: the note rises."
        ),
        keys=tuple(KeyPlace(number, number in moved) for number in numbers),
        left_handed=left_handed,
        keys_said=_("%(count)s keys; to be moved: %(wrong)s")
        % {"count": len(numbers), "wrong": ", ".join(wrong)},
    )


def _moved(string: str, rows: Sequence[Prescription]) -> dict[str, Prescription]:
    """What moves a tangent of that string, by the number of its key."""
    parted = [(row.target.partition(", "), row) for row in rows if row.code in MOVED]
    return {number: row for (name, _comma, number), row in parted if name == string}


def _length_words(reading: Reading) -> str:
    length = reading.raw.get("fields", {}).get("length_mm", "")
    return _("speaking length %(length)s mm") % {"length": length} if length else ""


def _is_of(row: Prescription, string: str) -> bool:
    """Whether a line speaks of that string; a conflict names only its key."""
    return row.code == "keys.conflict" or row.target.partition(", ")[0] == string


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


def _tangent_line(number: str, row: Prescription, *, left_handed: bool) -> CardLine:
    amount = row.amount or 0.0
    way = _way(amount > 0, left_handed=left_handed)
    if row.code == "keys.re_pin":
        way = _("%(way)s, re-pin") % {"way": way}
    return CardLine(
        key=str(row.position),
        name=number,
        where=_("key"),
        far=_far(amount, row.unit, 1 if abs(amount) >= 0.05 else 2),
        way=way,
        why=_cents_words(row),
    )


def _way(to_wheel: bool, *, left_handed: bool) -> str:
    """Along the string, with the arrow as whoever stands over the instrument sees it."""
    if left_handed:
        return _("← towards the wheel") if to_wheel else _("towards the nut →")
    return _("towards the wheel →") if to_wheel else _("← towards the nut")


def _cents_words(row: Prescription) -> str:
    cents, turn = row.details.get("cents"), row.details.get("turn")
    said = []
    if cents is not None:
        form = _("%(cents)s cents flat") if cents < 0 else _("%(cents)s cents sharp")
        places = 0 if abs(cents) >= 1 else 1
        said.append(form % {"cents": rounded(abs(cents), places)})
    if row.code == "keys.turn" and turn is not None:
        said.append(_("turn by %(turn)s°") % {"turn": rounded(abs(turn), 1)})
    return " · ".join(said)


# The wheel and whatever else prescribes --------------------------------------------------------


def _wheel_cards(reading: Reading, result: Result) -> list[BenchCard]:
    shown = saved(reading)
    card = _plain_card(reading, result, _wheel_lines)
    hint = _("Seen from the crank; angles grow as the wheel turns in playing.")
    return [_with_chart(card, shown.chart, shown.alt, hint)]


def _with_chart(card: BenchCard, chart: str, said: str, hint: str) -> BenchCard:
    return BenchCard(
        card.key,
        card.title,
        card.about,
        card.lines,
        card.sayings,
        hint=hint,
        chart=chart,
        chart_said=said,
    )


def _wheel_lines(row: Prescription) -> list[CardLine]:
    amount = row.amount or 0.0
    if row.code == "wheel.shift":
        # Two digits, and a third where the second would be the only one.
        far = _far(amount, "mm", 2 if abs(amount) >= 0.02 else 3)
        tap, shim = row.details["tap"], row.details["shim"]
        return [
            CardLine(f"{row.position}t", f"{tap}°", _("high spot"), far, _("tap it inwards"), ""),
            CardLine(
                f"{row.position}s",
                f"{shim}°",
                _("opposite"),
                far,
                _("or shim here"),
                _("between axle and hub, never under the band"),
            ),
        ]
    if row.code == "wheel.cut":
        left = rounded(row.details["left"], 2)
        why = _("%(left)s mm of diameter are left") % {"left": left}
        far = _far(amount, "mm", 2)
        return [CardLine(str(row.position), "", _("rim"), far, _("to turn off"), why)]
    return _plain_lines(row)


def _plain_lines(row: Prescription) -> list[CardLine]:
    return [CardLine(str(row.position), "", "", "", prescription_words(row), "")]


def _plain_cards(reading: Reading, result: Result) -> list[BenchCard]:
    return [_plain_card(reading, result, _plain_lines)]


def _plain_card(
    reading: Reading, result: Result, lines_of: Callable[[Prescription], list[CardLine]]
) -> BenchCard:
    rows = [row for row in result.prescriptions.all() if not _said(row.code, NOTHING_TO_DO)]
    acts = sorted((row for row in rows if not _said(row.code, SAYINGS)), key=_place)
    return BenchCard(
        key=str(reading.pk),
        title=capfirst(str(sheet_of(reading.gauge).label)),
        about=_about(reading),
        lines=tuple(line for row in acts for line in lines_of(row)),
        sayings=tuple(prescription_words(row) for row in rows if _said(row.code, SAYINGS)),
    )


def _place(row: Prescription) -> tuple[int, int]:
    """In the order of the keyboard where a line names a key; before them what is for all."""
    return (int(row.target) if row.target.isdecimal() else -1), row.position


_CARDS: Mapping[str, Callable[[Reading, Result], list[BenchCard]]] = {
    "correction": _keyboard_cards,
    "wheel": _wheel_cards,
}
