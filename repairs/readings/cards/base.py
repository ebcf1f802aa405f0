"""What a card of the bench is made of: its rows, and the small words that all cards share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from repairs.language.text import rounded
from repairs.readings.models import Reading
from repairs.screens.fields import air_words

NBSP = "\u00a0"


@dataclass(frozen=True)
class CardAct:
    """One gesture of a row: how far, which way, and why. ``is_told``: the way is a sentence."""

    far: str
    way: str
    why: str = ""
    is_told: bool = False


@dataclass(frozen=True)
class CardLine:
    """One thing to do: where, how far, which way, and why. ``key`` names its tick.

    ``more``: what else the same key or place asks for, in the order of the hands; one row, one
    tick. ``is_cut``: it cannot be undone.
    """

    key: str
    name: str
    where: str
    far: str
    way: str
    why: str
    more: tuple[CardAct, ...] = ()
    is_cut: bool = False
    is_told: bool = False

    @property
    def acts(self) -> tuple[CardAct, ...]:
        return (CardAct(self.far, self.way, self.why, self.is_told), *self.more)


@dataclass(frozen=True)
class KeyPlace:
    """A key of the keyboard as the row draws it."""

    number: str
    is_wrong: bool


@dataclass(frozen=True)
class BenchCard:
    """What is done at the bench after one reading, ready to be laid out.

    ``shows`` are drawings that stand on the card, ``drawings`` those of the acts, asked for;
    ``again`` says what is to be read afterwards.
    """

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
    shows: tuple[str, ...] = ()
    drawings: tuple[str, ...] = ()
    again: str = ""


def about(reading: Reading, *more: str) -> str:
    """Which reading it is, and the air in which it was taken."""
    air = air_words(reading.room_t_c, reading.room_rh_pct)
    day = date_format(localtime(reading.taken_at), "DATE_FORMAT")
    which = _("reading %(number)s") % {"number": reading.number}
    return " · ".join(one for one in (which, reading.subject, *more, day, air) if one)


def far_words(amount: float, unit: str, places: int) -> str:
    """A distance, to the digit that a hand can follow."""
    return f"{rounded(abs(amount), places)}{NBSP}{unit}"


def mm_words(amount: float) -> str:
    """Millimetres as a hand follows them: tenths, hundredths below half a millimetre."""
    return far_words(amount, "mm", 1 if abs(amount) >= 0.5 else 2)


def starts(code: str, with_any: Sequence[str]) -> bool:
    return any(code.startswith(one) for one in with_any)
