"""Which scale a keyboard is held against, and what comes before any tangent is moved."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from repairs.gauges.base.arrays import np
from repairs.gauges.base.checks import number
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent
from repairs.gauges.base.plain import plain
from repairs.gauges.base.registry import Plain
from repairs.gauges.base.verdict import Limit
from repairs.gauges.keys.asfound import (
    FAMILY,
    MOST_SCATTER_CENTS,
    AsFound,
    Read,
    as_found,
)
from repairs.gauges.keys.correction import ChanterCorrection, ChanterReading, correct
from repairs.gauges.keys.keyboard import wanted_cents
from repairs.gauges.keys.scalefit import LEAST_KEYS, SURE_PCT
from repairs.gauges.keys.temperament import TEMPERAMENTS, Scale, plain_name
from repairs.gauges.keys.typed import Keys, readings_of

AS_FOUND = "as_found"
Waits = Literal["", "open_string", "temperament"]
# So many moves are no correction but another temperament; figures of the house.
MANY_MOVES, UNLIKELY_PCT = 3, 5.0


@dataclass(frozen=True)
class Tempered:
    """A keyboard as it was read, with the scale that it is held against."""

    keys: Keys
    scale: Scale
    readings: Sequence[ChanterReading]
    found: AsFound | None
    asked: bool
    retemper: bool

    def waits(self, done: Sequence[ChanterCorrection], house: Mapping[str, Limit]) -> Waits:
        """Why no tangent is moved yet; empty where nothing comes before them.

        All keys off alike without an open string read: it may be the open string. A keyboard that
        another temperament explains far better is not moved to this one unasked.
        """
        if any(map(asks_open, done, self.readings)):
            return "open_string"
        if self.asked or self.retemper or self.found is None:
            return ""
        if self.found.wanted_pct > UNLIKELY_PCT:
            return ""
        moves = self.moves(done)
        if moves < MANY_MOVES:
            return ""
        # Which one it is may be in doubt between two that lie close: it is not the wanted one.
        is_ordered = self.found.scatter_cents <= MOST_SCATTER_CENTS
        is_kept = is_ordered or self.moves_instead(house) <= moves / 2
        return "temperament" if is_kept else ""

    def moves(self, done: Sequence[ChanterCorrection]) -> int:
        """How many tangents would be moved."""
        return sum(len(one.wrong_keys) for one in done)

    def moves_instead(self, house: Mapping[str, Limit]) -> int:
        """How many would be moved to keep the temperament as found."""
        if self.found is None:
            return 0
        best = self.found.candidates[0]
        keys = _keys_of(self.keys, named_scale(best.name, self.scale), best.open_step)
        return self.moves([correct(keys, one, None, house) for one in self.readings])

    def plain(
        self, done: Sequence[ChanterCorrection], house: Mapping[str, Limit]
    ) -> dict[str, Any] | None:
        """What is told of the temperament as found."""
        if self.found is None:
            return None
        told: dict[str, Any] = plain(self.found)
        waits = self.waits(done, house)
        instead = self.moves_instead(house) if waits == "temperament" else None
        return {**told, "waits": waits, "moves": self.moves(done), "moves_instead": instead}


def named_scale(name: str, wanted: Scale) -> Scale:
    """A temperament of the library, of the comma family, or the one that was pasted."""
    return TEMPERAMENTS.get(name) or FAMILY.get(name) or wanted


def _keys_of(keys: Keys, scale: Scale, open_step: int) -> list[tuple[int, float]]:
    return [(key, scale.above(open_step, key)) for key, _wanted in keys]


def read_tempered(given: Plain) -> Tempered:
    """Read keys, temperament and readings; ``as_found`` takes the likeliest temperament.

    Raises GaugeInputError ``no_wanted`` for deviations from a wanted note where none is wanted,
    ``too_few`` where too few keys were read to tell.
    """
    name = given.get("temperament")
    asked = isinstance(name, str) and plain_name(name) == AS_FOUND
    if asked and given.get("reading") == "off_wanted":
        raise GaugeInputError("no_wanted", field="reading")
    typed = {**given, "temperament": "equal"} if asked else given
    keys, scale = wanted_cents(typed)
    readings = readings_of(typed, keys)
    step = 0 if absent(given, "open_step") else int(number("open_step", given["open_step"]))
    found = as_found([key for key, _wanted in keys], list(map(_read, readings)), scale, step)
    if asked:
        if found is None:
            count = max(sum(one is not None for one in r.measured_cents) for r in readings)
            raise GaugeInputError("too_few", field="measured_cents", value=count, limit=LEAST_KEYS)
        best = found.candidates[0]
        scale = named_scale(best.name, scale)
        keys = _keys_of(keys, scale, best.open_step)
    retemper = given.get("retemper") is True
    return Tempered(keys, scale, readings, found, asked, retemper)


def _read(one: ChanterReading) -> Read:
    cents = np.array([math.nan if c is None else c for c in one.measured_cents])
    return Read(cents, one.length_mm, one.u_cents, one.u_open_cents is not None)


def asks_open(one: ChanterCorrection, reading: ChanterReading) -> bool:
    """Whether all keys stand off alike and nobody read the open string."""
    if reading.u_open_cents is not None:
        return False
    if one.fit is not None:
        return "offset" in one.fit.explanation and one.fit.scale_wrong_pct >= SURE_PCT
    off = np.array([line.off_cents for line in one.keys])
    if len(off) < 2:
        return False
    middle = float(np.mean(off))
    u = reading.u_cents / math.sqrt(len(off))
    return abs(middle) > 2.0 * u and float(np.std(off)) < abs(middle) / 2.0
