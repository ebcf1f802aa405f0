"""The ledger of an instrument's wheel: what each cut took, by whom, and how many are left.

Nothing of it is stored: each line is computed anew from the raw readings of all stays, beside what
the works and their steps say was cut.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.gauges.wheel.ledger import MOST_CUTS, MOST_STATES, MOST_STRINGS
from repairs.gauges.wheel.readings import U_MEAN_DIAMETER_MM
from repairs.instruments.models import Instrument
from repairs.language.text import rounded
from repairs.people.models import User
from repairs.readings.actions import compute
from repairs.readings.ledger_words import BASES, CHANGES
from repairs.readings.lifts import KnownLift, lifts_of, readings_of
from repairs.readings.models import Reading
from repairs.readings.parse import parse
from repairs.readings.sheets.catalogue import sheet_of
from repairs.treatment.wheel_cuts import Cut, cuts_of

BAND = "rim_band_thickness"  # a size of the instrument


@dataclass(frozen=True)
class Seen:
    """One reading, what the gauge makes of it now, and the wheel as the ledger takes it."""

    reading: Reading
    out: Mapping[str, Any]
    cuts: tuple[Cut, ...]
    state: dict[str, Any]


@dataclass(frozen=True)
class LedgerLine:
    """One reading of the wheel in words, with the cuts since the one before."""

    reading: Reading
    diameter: str
    form: str
    change: str
    lost: str
    cuts: tuple[Cut, ...]


@dataclass(frozen=True)
class RoomLine:
    """One string, or the band, in words: what is left of it, for how many cuts."""

    name: str
    left: str
    least: str
    cuts: str
    source: Reading | None
    is_tightest: bool
    note: str


@dataclass(frozen=True)
class Ledger:
    """The whole ledger, newest line first, ready to be laid out."""

    lines: tuple[LedgerLine, ...]
    rooms: tuple[RoomLine, ...]
    cuts: int
    next_cut: str
    basis: str
    verdict: str
    unknown: tuple[str, ...]


def ledger_of(instrument: Instrument, user: User) -> Ledger | None:
    """The ledger of the wheel; None while no reading of it counts."""
    readings = [row for row in readings_of(instrument.pk, user, "wheel") if row.latest is not None]
    readings = readings[-MOST_STATES:]
    if not readings:
        return None
    cuts = _between(readings, cuts_of(instrument))
    seen = [_seen(row, done) for row, done in zip(readings, cuts, strict=True)]
    lifts = lifts_of(instrument.pk, user)[:MOST_STRINGS]
    given: dict[str, Any] = {
        "states": [one.state for one in seen],
        "strings": [_string(one, seen) for one in lifts],
    }
    band = instrument.dimensions.filter(key=BAND).first()
    if band is not None:
        given["band_mm"] = float(band.value_mm)
    out = gauges()["wheel_ledger"].run(given)
    lines = [_line(one, line) for one, line in zip(seen, out["lines"], strict=True)]
    return Ledger(
        lines=tuple(reversed(lines)),
        rooms=tuple(_rooms(out, lifts)),
        cuts=out["cuts"],
        next_cut=_mm(out["next_mm"], out["u_next_mm"], 2),
        basis=str(BASES[out["basis"]]),
        verdict=_verdict(out),
        unknown=tuple(_unknown(out, lifts, band is not None)),
    )


def _output(reading: Reading) -> Mapping[str, Any]:
    """What the present gauge makes of the raw values; what was kept, where it refuses them."""
    try:
        return compute(sheet_of(reading.gauge), reading.raw).output
    except GaugeInputError:
        return reading.latest.output if reading.latest else {}


def _between(readings: Sequence[Reading], cuts: Sequence[Cut]) -> list[tuple[Cut, ...]]:
    """The cuts since the reading before, of each reading."""
    found, since = [], None
    for reading in readings:
        until = reading.taken_at
        found.append(tuple(c for c in cuts if since is not None and since < c.at <= until))
        since = until
    return found


def _seen(reading: Reading, cuts: tuple[Cut, ...]) -> Seen:
    out = _output(reading)
    parsed = parse(sheet_of(reading.gauge), reading.raw)
    diameter = parsed.values["mean_diameter_mm"]
    state = {"diameter_mm": diameter, "u_diameter_mm": U_MEAN_DIAMETER_MM, "cut": bool(cuts)}
    left, u = out.get("recentred_diameter_left_mm"), out.get("u_recentred_diameter_left_mm")
    if left is not None:
        state |= {"next_mm": max(0.0, (diameter - left) / 2), "u_next_mm": (u or 0.0) / 2}
    return Seen(reading, out, cuts, state)


def _string(one: KnownLift, seen: Sequence[Seen]) -> dict[str, Any]:
    """The string with the wheel that it was read on: the last one before, else the first."""
    earlier = [was for was in seen if was.reading.taken_at <= one.reading.taken_at]
    on = (earlier or seen[:1])[-1].state
    string = {"name": one.name, "lift_mm": one.lift_mm, "at_diameter_mm": on["diameter_mm"]}
    return string if one.least_mm is None else string | {"least_mm": one.least_mm}


def _line(seen: Seen, line: Mapping[str, Any]) -> LedgerLine:
    form, lost = seen.out.get("lsc_roundness_mm"), line["lost_mm"]
    return LedgerLine(
        seen.reading,
        _mm(seen.state["diameter_mm"], seen.state["u_diameter_mm"], 2),
        "" if form is None else _mm(form, seen.out.get("u_lsc_roundness_mm") or 0.0, 3),
        str(CHANGES[line["change"]]),
        "" if lost is None else _signed_mm(-lost, line["u_lost_mm"]),
        seen.cuts,
    )


def _rooms(out: Mapping[str, Any], lifts: Sequence[KnownLift]) -> list[RoomLine]:
    sources: list[Reading | None] = [one.reading for one in lifts]
    found = list(zip(out["strings"], sources, strict=True))
    if out["band"] is not None:
        found.append((out["band"] | {"name": _("band of the rim")}, None))
    tightest = out["tightest"] or {}
    names = (tightest.get("name") or _("band of the rim"),)
    return [_room(one, source, one["name"] in names) for one, source in found]


def _room(one: Mapping[str, Any], source: Reading | None, is_tightest: bool) -> RoomLine:
    note = ""
    if one["counted_down"]:
        note = _("read on a larger wheel; what the rim lost since is taken off")
    elif source is not None and not one["least_mm"]:
        note = _("until the rim no longer touches it: its bowing window is not known")
    return RoomLine(
        one["name"],
        _mm(one["left_mm"], one["u_left_mm"], 2),
        _mm(one["least_mm"], None, 2),
        cuts_words(one),
        source,
        is_tightest,
        note,
    )


def cuts_words(one: Mapping[str, Any]) -> str:
    """“4 (3 to 6)”; a count beyond `MOST_CUTS` is as good as without end."""
    if one["cuts"] >= MOST_CUTS:
        return _("more than %(count)s") % {"count": MOST_CUTS - 1}
    if one["low"] == one["high"]:
        return str(one["cuts"])
    said = {"cuts": one["cuts"], "low": one["low"], "high": one["high"]}
    return _("%(cuts)s (%(low)s to %(high)s)") % said


def _verdict(out: Mapping[str, Any]) -> str:
    """How many cuts are left, and what ends first."""
    tightest = out["tightest"]
    if tightest is None:
        return _("How many cuts are left is not known: no lift of a string was read yet.")
    said = {"cuts": cuts_words(tightest), "string": tightest["name"]}
    if out["limited"] == "by_band":
        return _("Cuts left: %(cuts)s; then the band of the rim is used up.") % said
    return _("Cuts left: %(cuts)s; then the lift of %(string)s is used up.") % said


def _unknown(out: Mapping[str, Any], lifts: Sequence[KnownLift], knows_band: bool) -> list[str]:
    """What is not known, and what it would change."""
    found = []
    if lifts:
        found.append(
            _(
                "The bridge is taken as it stands. Lowered after a cut, it gives each string its "
                "lift back, as far as its foot and the keys allow."
            )
        )
    if not knows_band:
        found.append(
            _(
                "The thickness of the band is not among the sizes of the instrument: it may be "
                "used up before any lift is."
            )
        )
    if any(line["change"] == "smaller_unrecorded" for line in out["lines"]):
        found.append(
            _("A rim that became smaller without a cut on record was cut elsewhere, or was wet.")
        )
    return found


def _mm(value: float, u: float | None, places: int) -> str:
    said = rounded(value, places)
    return f"{said} mm" if u is None else f"{said} ± {rounded(u, places)} mm"


def _signed_mm(change_mm: float, u_mm: float) -> str:
    """A change with its sign: a cut makes the radius less."""
    amount = round(change_mm, 2)
    sign = "+" if amount > 0 else "−" if amount < 0 else ""
    return f"{sign}{_mm(abs(amount), u_mm, 2)}"
