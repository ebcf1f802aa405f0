"""From what the gauges say to the figures that bear on causes: one small table, gauge by gauge.

Each entry takes what a gauge was given and what it answered (plain data) and gives values, words
that were heard on the way, and facts that a symptom follows from. Nothing is asked of a gauge but
its registered name and the names of its figures.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from repairs.gauges.causes.evidence_action import action_values
from repairs.gauges.causes.evidence_cards import card_heard, dog_values, voicing_values
from repairs.gauges.causes.evidence_keys import correction_values, repeat_values
from repairs.gauges.causes.evidence_wheel import wheel_values
from repairs.gauges.causes.evidence_wood import climate_values, crack_values, set_values
from repairs.gauges.causes.net import Value

Plain = Mapping[str, Any]
HALF_SWELL_PCT, SWELL_STEP_PCT = 6.0, 1.5  # of the force: heard half the time; how sharply
LEAST_P, MOST_P = 0.02, 0.95  # a symptom that follows from a figure is still heard by ears
USUAL_LIFT_MM = 0.7


@dataclass(frozen=True)
class Read:
    """One reading: its gauge, what it was given, what it answered.

    ``again``: the same reading once more, taken right before: what differs does not repeat.
    """

    gauge: str
    given: Plain
    output: Plain
    again: Read | None = None


@dataclass
class Evidence:
    """All that the readings say."""

    values: list[Value] = field(default_factory=list)
    heard: set[str] = field(default_factory=set)
    facts: dict[str, float] = field(default_factory=dict)


TABLE: Mapping[str, Callable[[Plain, Plain], list[Value]]] = {
    "wheel": wheel_values,
    "voicing_card": voicing_values,
    "dog_card": dog_values,
    "correction": correction_values,
    "action": action_values,
    "string_set": set_values,
    "climate_log": climate_values,
    "crack_joint": crack_values,
}


def gather(reads: Iterable[Read]) -> Evidence:
    """Return what all readings say; a gauge that bears on no cause says nothing."""
    found, lifts = Evidence(), []
    for one in reads:
        values = TABLE.get(one.gauge, _nothing)(one.given, one.output)
        found.values += values if one.again is None else [*values, *_repeated(one, one.again)]
        if one.gauge == "voicing_card":
            found.heard |= card_heard(one.output)
            top = top_force_p(one.given, values)
            if top is not None:
                found.facts["top_force"] = top
        lifts += [float(one.given["lift_mm"])] if one.given.get("lift_mm") else []
    _swing(found, min(lifts, default=USUAL_LIFT_MM))
    return found


def _repeated(one: Read, again: Read) -> list[Value]:
    """What two readings right after one another say of what does not hold still."""
    if one.gauge == "wheel" and again.given.get("readings_mm"):
        both = {**one.given, "second_turn_mm": again.given["readings_mm"]}
        values = wheel_values(both, one.output)
        return [value for value in values if value.figure == "repeat_sd_mm"]
    return repeat_values(one.output, again.output) if one.gauge == "correction" else []


def _nothing(_given: Plain, _output: Plain) -> list[Value]:
    return []


def _swing(found: Evidence, lift_mm: float) -> None:
    """How likely the swell is heard, by amplitude over lift (the least lift swells most)."""
    for figure, fact in (("ecc_mm", "swing_once"), ("oval_amp_mm", "swing_twice")):
        for one in found.values:
            if one.figure == figure and lift_mm > 0:
                found.facts[fact] = swell_p(100.0 * float(one.value) / lift_mm)


def swell_p(swell_pct: float) -> float:
    """P that a swell of so many per cent of the force is heard. Source: common practice."""
    p = 1.0 / (1.0 + math.exp(-(swell_pct - HALF_SWELL_PCT) / SWELL_STEP_PCT))
    return min(max(p, LEAST_P), MOST_P)


CHANTERELLE_HZ, TOP_KEY, RIM_M_S, FRICTION = 392.0, 23, 0.54, 0.4


def top_limit_n(tension_n: float, length_mm: float, from_bridge_mm: float) -> float:
    """Force above which the highest key does not speak at 60 turns a minute, N.

    F_max = 2·Z·v/(β·Δμ), Z = T/(2·L·f), β = place of the wheel over the length that sounds.
    Source: Schelleng, J. Acoust. Soc. Am. 53 (1973); Δμ = 0.4 from memory.
    """
    impedance = tension_n / (2.0 * length_mm / 1000.0 * CHANTERELLE_HZ)
    beta = from_bridge_mm / (length_mm * 2.0 ** (-TOP_KEY / 12.0))
    return 2.0 * impedance * RIM_M_S / (beta * FRICTION)


def top_force_p(given: Plain, values: list[Value]) -> float | None:
    """P that the highest keys stay mute, by the force of a chanterelle against their limit."""
    force = [one for one in values if one.figure == "force_chanterelle_n"]
    names = ("tension_n", "length_mm", "from_bridge_mm")
    if not force or any(not given.get(name) for name in names):
        return None
    limit = top_limit_n(*(float(given[name]) for name in names))
    over = (float(force[0].value) - limit) / (0.1 * limit)
    p = 1.0 / (1.0 + math.exp(-max(min(over, 50.0), -50.0)))
    return min(max(p, LEAST_P), 0.85)
