"""How far the wheel lifts each string, as last read on this instrument, in whichever sheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext as _

from repairs.cases.models import Case
from repairs.language.text import folded
from repairs.people.models import User
from repairs.readings.models import Reading
from repairs.readings.parse import parse
from repairs.readings.sheets.catalogue import sheet_of

GAUGES = ("force_turn", "bowing_window", "voicing_card", "wheel")
PLACED = ("tension_n", "length_mm", "from_bridge_mm")


@dataclass(frozen=True)
class KnownLift:
    """One string: its lift, what is known of its tension and place, and the reading that says so.

    ``least_mm`` is the lift that still holds its tone, where a bowing window told it.
    """

    name: str
    lift_mm: float
    placed: Mapping[str, float]
    least_mm: float | None
    reading: Reading

    @property
    def given(self) -> dict[str, Any]:
        """The string as the gauge of the force takes it."""
        return {"name": self.name, "lift_mm": self.lift_mm, **self.placed}


def readings_of(instrument: int, user: User, *gauges: str) -> list[Reading]:
    """The readings of an instrument that count, over all its stays, in the order of time."""
    stays = Case.objects.visible_to(user).filter(instrument=instrument)
    rows = Reading.objects.present().filter(case__in=stays, gauge__in=gauges, not_permitted="")
    told = rows.select_related("case__instrument", "taken_by").prefetch_related("results")
    return list(told.order_by("taken_at", "pk"))


def lifts_of(instrument: int, user: User) -> list[KnownLift]:
    """The last known lift of each string, in the order in which they were first read.

    What the wheel's own sheet says of “the strings” counts where nothing is known of one.
    """
    known: dict[str, KnownLift] = {}
    for reading in readings_of(instrument, user, *GAUGES):
        for one in _lifts_in(reading):
            was = known.get(folded(one.name))
            if was is not None:
                placed = {**was.placed, **one.placed}
                least = was.least_mm if one.least_mm is None else one.least_mm
                one = replace(one, placed=placed, least_mm=least)
            known[folded(one.name)] = one
    single = [one for one in known.values() if one.reading.gauge != "wheel"]
    return single or list(known.values())


def _lifts_in(reading: Reading) -> Iterator[KnownLift]:
    parsed = parse(sheet_of(reading.gauge), reading.raw)
    if reading.gauge == "force_turn":
        for row in parsed.rows:
            if row["lift_mm"] is not None and row["name"]:
                yield _lift(row["name"], row, None, reading)
        return
    values = parsed.values
    if not values["lift_mm"]:
        return
    name = str(values.get("string") or reading.subject or _("the strings"))
    result = reading.latest
    least = result.output.get("lift_least_mm") if result else None
    yield _lift(name, values, least, reading)


def _lift(
    name: str, said: Mapping[str, Any], least_mm: float | None, reading: Reading
) -> KnownLift:
    placed = {field: said[field] for field in PLACED if said.get(field)}
    return KnownLift(name, said["lift_mm"], placed, least_mm, reading)
