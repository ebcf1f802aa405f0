"""Beside a reading of the wheel: what its lobes make of the force on each string over a turn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from repairs.gauges.everything import gauges
from repairs.gauges.wheel.pulse import MOST_STRINGS, pulse_hz
from repairs.language.text import rounded
from repairs.people.models import User
from repairs.readings.lifts import lifts_of
from repairs.readings.models import Reading
from repairs.readings.sheets import force
from repairs.readings.words import advice_words

SPEEDS = (30, 60, 90, 120)  # turns a minute, from a slow tune to the dog


@dataclass(frozen=True)
class PulseRow:
    """How often a second a lobe passes, at each of the speeds of the table."""

    name: str
    hz: tuple[str, ...]


@dataclass(frozen=True)
class PulseShown:
    """The force over one turn, ready to be laid out. Without strings, only the pulses."""

    chart: str
    alt: str
    sentences: tuple[str, ...]
    speeds: tuple[int, ...]
    pulses: tuple[PulseRow, ...]
    has_lifts: bool


def pulse_of(reading: Reading, user: User) -> PulseShown | None:
    """What a kept reading of a wheel says of the force; None of others, or without a sure lobe."""
    if reading.gauge != "wheel" or reading.latest is None:
        return None
    lobes = lobes_of(reading.latest.output)
    sure = [one for one in lobes if one["high_deg"] is not None]
    if not sure:
        return None
    pulses = tuple(_pulse(one["order"]) for one in sure)
    strings = [one.given for one in lifts_of(reading.case.instrument_id, user)][:MOST_STRINGS]
    if not strings:
        return PulseShown("", "", (), SPEEDS, pulses, has_lifts=False)
    given = {"strings": strings, "lobes": lobes}
    out = gauges()["force_turn"].run(given)
    chart = force.chart(given, out, None, None)
    return PulseShown(
        chart.svg if chart else "",
        chart.alt if chart else "",
        tuple(advice_words(line) for line in force.advice(given, out)),
        SPEEDS,
        pulses,
        has_lifts=True,
    )


def lobes_of(out: Mapping[str, Any]) -> list[dict[str, Any]]:
    """All harmonics of a wheel's answer; ``high_deg`` is None where one is not sure."""
    found = [
        {
            "order": 1,
            "amp_mm": out["ecc_mm"],
            "u_amp_mm": out["u_ecc_mm"],
            "high_deg": out["high_spot_deg"],
        }
    ]
    if out["oval_amp_mm"] is not None:
        oval = {"order": 2, "amp_mm": out["oval_amp_mm"], "u_amp_mm": out["u_oval_amp_mm"]}
        found.append(oval | {"high_deg": out.get("oval_high_deg")})
    fields = ("order", "amp_mm", "u_amp_mm", "high_deg")
    found += [{field: lobe[field] for field in fields} for lobe in out["lobes"]]
    return found


def _pulse(order: int) -> PulseRow:
    names = {1: _("once each turn"), 2: _("twice each turn")}
    name = names.get(order) or _("%(order)s times a turn") % {"order": order}
    return PulseRow(name, tuple(rounded(pulse_hz(order, turns), 1) for turns in SPEEDS))
