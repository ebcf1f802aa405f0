"""The card of the wheel: the wheel seen from the crank, where to tap and where to shim."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from django.utils.translation import gettext as _

from repairs.charts.bench_wheel import WheelMarks, wheel_drawing
from repairs.charts.mirror import mirrored
from repairs.gauges.wheel.readings import place_near, placed
from repairs.language.text import rounded, uses_comma
from repairs.readings.cards.base import BenchCard, CardLine, far_words
from repairs.readings.cards.plain import plain_card, plain_lines
from repairs.readings.models import Prescription, Reading, Result
from repairs.readings.parse import parse
from repairs.readings.sheets.catalogue import sheet_of


def wheel_cards(reading: Reading, result: Result) -> list[BenchCard]:
    card = plain_card(reading, result, _lines)
    chart = wheel_drawing(_marks(reading, result), words=_words(), comma=uses_comma())
    if reading.case.instrument.left_handed:
        chart = mirrored(chart)
    hint = _("Seen from the crank; angles grow as the wheel turns in playing.")
    return [replace(card, hint=hint, chart=chart.svg, chart_said=chart.alt)]


def _marks(reading: Reading, result: Result) -> WheelMarks:
    """The places that were read, and what is done at which of them."""
    rows = result.prescriptions.all()
    shift: Mapping[str, float] = next((r.details for r in rows if r.code == "wheel.shift"), {})
    cut = any(row.code == "wheel.cut" for row in rows)
    sheet = sheet_of(reading.gauge)
    parsed = parse(sheet, reading.raw)
    places = placed(sheet.to_input(parsed.values, parsed.rows))
    tap, shim = shift.get("tap"), shift.get("shim")
    return WheelMarks(
        places_deg=tuple(angle for _row, angle in places),
        tap_deg=tap,
        shim_deg=shim,
        is_cut=cut,
        tap_place=None if tap is None else place_near(places, tap),
        shim_place=None if shim is None else place_near(places, shim),
    )


def _words() -> Mapping[str, str]:
    return {
        "crank": _("crank, 0°"),
        "tap": _("tap"),
        "shim": _("shim"),
        "place": _("place %(place)s"),
        "cut": _("turn off all round"),
        "turns": _("turns in playing"),
        "alt": _("The wheel seen from the crank"),
        "alt_tap": _("tap at %(tap)s°, or shim at %(shim)s°"),
    }


def _lines(rows: list[Prescription]) -> list[CardLine]:
    """The rows as the gauge orders them: what cleans before any blow, shims before any cut."""
    return [line for row in rows for line in _of(row)]


def _of(row: Prescription) -> list[CardLine]:
    amount = row.amount or 0.0
    if row.code == "wheel.shift" and {"tap", "shim"} <= row.details.keys():
        # Two digits, and a third where the second would be the only one.
        return _tap_or_shim(row, far_words(amount, "mm", 2 if abs(amount) >= 0.02 else 3))
    if row.code == "wheel.cut" and "left" in row.details:
        left = rounded(row.details["left"], 2)
        why = _("%(left)s mm of diameter are left") % {"left": left}
        far = far_words(amount, "mm", 2)
        key = str(row.position)
        return [CardLine(key, "", _("rim"), far, _("to turn off"), why, is_cut=True)]
    return plain_lines([row])


def _tap_or_shim(row: Prescription, far: str) -> list[CardLine]:
    """Two ways to the same place: the shim is the one that can be taken back."""
    tap, shim = row.details["tap"], row.details["shim"]
    tapped = _("tap it inwards")
    shimmed = _("between axle and hub, never under the band")
    return [
        CardLine(f"{row.position}t", f"{tap}°", _("high spot"), far, tapped, ""),
        CardLine(f"{row.position}s", f"{shim}°", _("opposite"), far, _("or shim here"), shimmed),
    ]
