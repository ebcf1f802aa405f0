"""Bridge and nut of a keyboard: what both strings ask of one piece, said as the skew that it is."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from repairs.readings.cards.base import CardLine, mm_words
from repairs.readings.models import Prescription
from repairs.readings.sheets.keyboard_cells import named
from repairs.readings.show import prescription_words

BRIDGE, NUT = "keys.move_bridge", "keys.move_nut"
ENDS = (BRIDGE, NUT)
# Two moves differ when they do so by more than twice the uncertainty of their difference.
SURE = 2.0
LEAST_MM = 0.05  # a skew that no hand sets


def end_lines(rows: Sequence[Prescription]) -> list[CardLine]:
    """The moves of bridge and nut, one row for each piece; they come before any tangent."""
    found = (_end_line(code, [row for row in rows if row.code == code]) for code in ENDS)
    return [line for line in found if line is not None]


def _end_line(code: str, rows: Sequence[Prescription]) -> CardLine | None:
    asked = [row for row in rows if row.amount]
    if not asked:
        return None
    key = f"end{asked[0].position}"
    if len(asked) == 2 and _differ(*asked):
        return CardLine(key, "", "", "", _skew_words(code, *asked), "", is_told=True)
    if asked[0].details.get("skew"):  # the gauge has put both strings into one row
        return CardLine(key, "", "", "", prescription_words(asked[0]), "", is_told=True)
    mean = sum(row.amount or 0.0 for row in asked) / len(asked)
    why = _("then read all keys again, before any tangent")
    return CardLine(key, _piece(code), "", mm_words(mean), _way(code, mean), why)


def _differ(one: Prescription, two: Prescription) -> bool:
    apart = abs((one.amount or 0.0) - (two.amount or 0.0))
    return bool(apart >= max(LEAST_MM, SURE * ((one.u or 0.0) ** 2 + (two.u or 0.0) ** 2) ** 0.5))


def _skew_words(code: str, one: Prescription, two: Prescription) -> str:
    """How far each end of the piece goes, and by how much it then stands askew."""
    first, second = one.amount or 0.0, two.amount or 0.0
    words = _(
        "%(piece)s askew: under the %(one)s %(first)s %(way_1)s, under the %(two)s %(second)s "
        "%(way_2)s; %(skew)s between the two. Then read all keys again, before any tangent."
    )
    return words % {
        "piece": _piece(code),
        "one": _string(one),
        "first": mm_words(first),
        "way_1": _way(code, first),
        "two": _string(two),
        "second": mm_words(second),
        "way_2": _way(code, second),
        "skew": mm_words(first - second),
    }


def _string(row: Prescription) -> str:
    return named(row.target.partition(", ")[0])


def _piece(code: str) -> str:
    return _("Bridge") if code == BRIDGE else _("Nut")


def _way(code: str, amount: float) -> str:
    """Which way, without a sign: a bridge goes away from the nut above 0, a nut to the bridge."""
    if code == BRIDGE:
        return _("away from the nut") if amount > 0 else _("towards the nut")
    return _("towards the bridge") if amount > 0 else _("away from the bridge")
