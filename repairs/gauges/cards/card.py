"""What is noted on a card of the set-up, checked for sense; what contradicts itself is refused."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, TypeVar

from repairs.gauges.base.checks import between
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, choice, only, rows
from repairs.gauges.strings.spec import MOST
from repairs.gauges.wheel.force import StringOnWheel

SLOTS = ("plain", "shim", "screw")


PAPERS = ("passes", "nipped", "grabbed")


COTTONS = ("none", "thin", "medium", "thick")


SENSES = ("with_wheel", "against_wheel")


SOUNDS = ("speaks", "chokes", "whistles", "scratches")


COTTON_STATES = ("in_place", "bunched")


WEARS = ("even", "one_edge")


WORN_EDGES = ("nut_side", "bridge_side")


PRINTS = ("whole", "toe", "heel", "side")


FOOT_PAPERS = ("held", "slips")


ONSETS = ("never", "crisp", "late", "always")


@dataclass(frozen=True)
class StopPitch:
    """A capo or movable stop: the open string's pitch with it on and off."""

    stop: str
    on_hz: float
    off_hz: float

    @property
    def cents(self) -> float:
        """How far the stop raises the string, in cents."""
        return 1200.0 * math.log2(self.on_hz / self.off_hz)


@dataclass(frozen=True)
class VoicingCard:
    """How one string is voiced; None is not looked at.

    ``paper`` is the strip without cotton; ``cotton_state`` after some fifty turns of the wheel;
    ``worn_edge`` which edge of the rim has worn it, where it is worn at one edge;
    ``rosin_turns`` the turns of rosin given last. A string on its hook has no sound.
    """

    string: str
    on_hook: bool = False
    slot: str | None = None
    shim_mm: float | None = None
    screw_turns: float | None = None
    paper: str | None = None
    cotton: str | None = None
    cotton_sense: str | None = None
    cotton_state: str | None = None
    cotton_wear: str | None = None
    worn_edge: str | None = None
    rosin_kind: str = ""
    rosin_turns: float | None = None
    sound_open: str | None = None
    sound_octave: str | None = None
    sound_highest: str | None = None
    pitch_follows_crank: bool | None = None
    lift_mm: float | None = None
    from_bridge_mm: float | None = None
    length_mm: float | None = None
    tension_n: float | None = None
    stops: tuple[StopPitch, ...] = ()

    def heard(self, *words: str) -> tuple[str, ...]:
        """The fields in which one of these sounds was heard."""
        named = ("sound_open", "sound_octave", "sound_highest")
        return tuple(name for name in named if getattr(self, name) in words)

    @property
    def force_n(self) -> float | None:
        """The force on the wheel where lift, place, length and tension are all known."""
        lift, wheel, length, tension = (
            self.lift_mm,
            self.from_bridge_mm,
            self.length_mm,
            self.tension_n,
        )
        if lift is None or wheel is None or length is None or tension is None:
            return None
        return StringOnWheel(tension, length, wheel, lift).force_n()


@dataclass(frozen=True)
class DogCard:
    """How the trompette's dog stands; None is not looked at.

    ``foot_print`` is where chalk on the plate prints on the foot (its toe lies under the string,
    its heel at the slot), ``foot_paper`` what a paper of 0.05 mm does under it; ``play_mm`` is the
    play of its tail in the slot. ``tirant_turns`` are the turns of the tirant's peg from silence to
    onset, ``onset_rpm`` the crank's speed there, ``pitch_shift_cents`` what the tirant's way there
    did to the pitch.
    """

    string: str
    foot_full: bool | None = None
    foot_print: str | None = None
    foot_paper: str | None = None
    play_mm: float | None = None
    onset: str | None = None
    tirant_turns: float | None = None
    onset_rpm: float | None = None
    pitch_shift_cents: float | None = None
    stops: tuple[StopPitch, ...] = ()

    @property
    def stands_ill(self) -> bool:
        """Whether its foot bears on a part of itself alone, by eye, chalk or paper."""
        return (
            self.foot_full is False
            or self.foot_print in ("toe", "heel", "side")
            or self.foot_paper == "slips"
        )


Card = TypeVar("Card", VoicingCard, DogCard)


WORDS: Mapping[str, tuple[str, ...]] = {
    "slot": SLOTS,
    "paper": PAPERS,
    "cotton": COTTONS,
    "cotton_sense": SENSES,
    "cotton_state": COTTON_STATES,
    "cotton_wear": WEARS,
    "worn_edge": WORN_EDGES,
    "foot_print": PRINTS,
    "foot_paper": FOOT_PAPERS,
    "sound_open": SOUNDS,
    "sound_octave": SOUNDS,
    "sound_highest": SOUNDS,
    "onset": ONSETS,
}


NUMBERS: Mapping[str, tuple[float, float]] = {
    "shim_mm": (0.0, 5.0),
    "screw_turns": (-20.0, 20.0),
    "rosin_turns": (0.0, 100.0),
    "lift_mm": (0.0, 30.0),
    "from_bridge_mm": (1.0, 500.0),
    "length_mm": (100.0, 1500.0),
    "tension_n": (0.05, MOST["tension_n"]),
    "play_mm": (0.0, 5.0),
    "tirant_turns": (0.0, 20.0),
    "onset_rpm": (1.0, 400.0),
    "pitch_shift_cents": (-200.0, 200.0),
}


TICKS = ("on_hook", "pitch_follows_crank", "foot_full")


def read_card(kind: type[Card], given: Mapping[str, Any]) -> Card:
    """Return a checked card of that kind from plain data.

    Raises GaugeInputError for unknown fields and words, impossible numbers, and ``contradicts``
    where two fields cannot both be true.
    """
    names: list[str] = [f.name for f in fields(kind)]
    only(given, [*names, "limits"])
    values: dict[str, Any] = {}
    for name in names:
        if not absent(given, name):
            values[name] = _value(name, given[name])
    if not str(values.get("string", "")).strip():
        raise GaugeInputError("missing", field="string")
    card = kind(**values)
    for field, other, holds in _CONTRADICTIONS.get(kind, ()):
        if holds(card):
            raise GaugeInputError(
                "contradicts",
                field=field,
                value=_said(getattr(card, field)),
                other=other,
                limit=_said(getattr(card, other)),
            )
    return card


def _value(name: str, value: Any) -> Any:
    if name in WORDS:
        return choice(name, value, WORDS[name])
    if name in NUMBERS:
        return between(name, value, *NUMBERS[name])
    if name in TICKS:
        if not isinstance(value, bool):
            raise GaugeInputError("unknown", field=name, value=value, known="true, false")
        return value
    return _stops(value) if name == "stops" else str(value).strip()[:80]


def _stops(value: Any) -> tuple[StopPitch, ...]:
    found = []
    for row, one in enumerate(rows("stops", value, least=0, most=12), 1):
        only(one, ("stop", "on_hz", "off_hz"), field="stops", row=row)
        if absent(one, "stop"):
            raise GaugeInputError("missing", field="stop", row=row)
        on, off = (between(n, one.get(n), 8.0, 5000.0, row=row) for n in ("on_hz", "off_hz"))
        found.append(StopPitch(str(one["stop"]).strip()[:60], on, off))
    return tuple(found)


def _said(value: Any) -> str:
    return {True: "true", False: "false", None: "empty"}.get(value, str(value))


Contradiction = tuple[str, str, Callable[[Any], bool]]


# What cannot both be true is refused rather than hinted at: a string on its hook touches no wheel
# and has no sound; a dog that never buzzes has no onset, and one that always does needs no turn.
_CONTRADICTIONS: Mapping[type, Sequence[Contradiction]] = {
    VoicingCard: (
        ("sound_open", "on_hook", lambda c: c.on_hook and c.sound_open is not None),
        ("sound_octave", "on_hook", lambda c: c.on_hook and c.sound_octave is not None),
        ("sound_highest", "on_hook", lambda c: c.on_hook and c.sound_highest is not None),
        ("shim_mm", "slot", lambda c: bool(c.shim_mm) and c.slot in ("plain", "screw")),
        ("screw_turns", "slot", lambda c: bool(c.screw_turns) and c.slot in ("plain", "shim")),
        ("cotton_sense", "cotton", lambda c: c.cotton == "none" and c.cotton_sense is not None),
        ("cotton_state", "cotton", lambda c: c.cotton == "none" and c.cotton_state is not None),
        ("worn_edge", "cotton_wear", lambda c: c.cotton_wear == "even" and c.worn_edge is not None),
        (
            "from_bridge_mm",
            "length_mm",
            lambda c: (c.from_bridge_mm or 0.0) >= (c.length_mm or 1e9),
        ),
    ),
    DogCard: (
        (
            "foot_print",
            "foot_full",
            lambda c: c.foot_full is True and c.foot_print not in (None, "whole"),
        ),
        ("foot_paper", "foot_full", lambda c: c.foot_full is True and c.foot_paper == "slips"),
        ("tirant_turns", "onset", lambda c: c.onset == "never" and c.tirant_turns is not None),
        ("onset_rpm", "onset", lambda c: c.onset == "never" and c.onset_rpm is not None),
        ("tirant_turns", "onset", lambda c: c.onset == "always" and bool(c.tirant_turns)),
    ),
}
