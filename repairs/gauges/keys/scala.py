"""A strict reader of the open Scala scale format (.scl).

Lines that begin with “!” are comments. The first other line describes the scale, the second says
how many notes follow, and each further line holds one pitch: cents when it has a point, a ratio or
a whole number when it has none. What stands after a pitch, parted by a space, is passed over.
Source: the published description of the format (“Scala scale file format”).
"""

from __future__ import annotations

import re
from fractions import Fraction

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.keys.temperament import Scale, ratio_cents

FIELD = "scl"
MOST_NOTES = 1000
MOST_CHARACTERS = 200_000
MOST_DIGITS = 24

_LINE_END = re.compile(r"\r\n|\r|\n")
_COUNT = re.compile(r"[0-9]{1,9}")
_CENTS = re.compile(r"[+-]?(?:[0-9]+\.[0-9]*|\.[0-9]+)")
_RATIO = re.compile(r"([0-9]+)(?:[ \t]*/[ \t]*([0-9]+))?")


def parse_scl(text: str) -> Scale:
    """Return the scale of an .scl text; steps in cents, in the order of the file.

    Raises GaugeInputError with ``field`` "scl" and ``row`` the number of the line: ``missing`` for
    no description or count, ``scl_count``, ``scl_pitch`` and ``not_positive`` for what cannot be
    read, ``too_few`` and ``too_many`` when count and notes differ. A scale of no notes has no
    period and is refused here, though the format permits it.
    """
    if len(text) > MOST_CHARACTERS:
        raise GaugeInputError(
            "too_many", field=f"{FIELD} (characters)", value=len(text), limit=MOST_CHARACTERS
        )
    lines = [
        (row, line)
        for row, line in enumerate(_LINE_END.split(text.removeprefix("\ufeff")), 1)
        if not line.startswith("!")
    ]
    if len(lines) < 2:
        raise GaugeInputError("missing", field=f"{FIELD}: description and number of notes")
    description = lines[0][1].strip()
    count = _count(*lines[1])
    body = [(row, line) for row, line in lines[2:] if line.strip()]
    if len(body) < count:
        raise GaugeInputError("too_few", field=f"{FIELD} (notes)", value=len(body), limit=count)
    if len(body) > count:
        raise GaugeInputError(
            "too_many", field=f"{FIELD} (notes)", row=body[count][0], value=len(body), limit=count
        )
    return Scale("scl", description, tuple(_pitch(row, line) for row, line in body))


def _count(row: int, line: str) -> int:
    found = _COUNT.match(line.strip(" \t"))
    words = line.split()
    if not found or words[0] != found.group():
        raise GaugeInputError("scl_count", field=FIELD, row=row, value=repr(line.strip()[:40]))
    count = int(found.group())
    if count < 1:
        raise GaugeInputError("too_few", field=f"{FIELD} (notes)", row=row, value=count, limit=1)
    if count > MOST_NOTES:
        raise GaugeInputError(
            "too_many", field=f"{FIELD} (notes)", row=row, value=count, limit=MOST_NOTES
        )
    return count


def _pitch(row: int, line: str) -> float:
    """One pitch in cents. A point makes it cents; without one it is a ratio."""
    word = line.strip(" \t")
    cents = _CENTS.match(word)
    if cents and _ends(word, cents.end()):
        return float(cents.group())
    ratio = _RATIO.match(word)
    if ratio is None or not _ends(word, ratio.end()) or len(ratio.group()) > MOST_DIGITS:
        raise GaugeInputError("scl_pitch", field=FIELD, row=row, value=repr(word[:40]))
    over, under = int(ratio.group(1)), int(ratio.group(2) or 1)
    if over == 0 or under == 0:
        raise GaugeInputError("not_positive", field=FIELD, row=row, value=repr(ratio.group()))
    return ratio_cents(Fraction(over, under))


def _ends(word: str, place: int) -> bool:
    """A pitch ends at the line's end, a space or a comment; “386,3” and “3/2/1” do not."""
    rest = word[place:]
    return not rest or (rest[0] in " \t!" and not rest.lstrip(" \t").startswith("/"))
