"""Cards of the set-up: what paper, cotton, rosin and ear say of a string, and how the dog stands.

A card is what a luthier notes, not a measurement. It is checked for sense, and rules from the fault
table give hints: a code, the row of the table, the fields that speak for it and what may be tried.
A hint proposes; nothing is asserted.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, TypeVar

from repairs.gauges.base.checks import between
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, choice, limits, only, rows
from repairs.gauges.base.plain import plain
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import Limit, Verdict, judge
from repairs.gauges.strings.gauge import MOST
from repairs.gauges.wheel.force import StringOnWheel

VERSION = "cards 1"
UNSET = "not judged unless the house sets a limit"
DEFAULT_LIMITS: Mapping[str, Limit] = {
    "force_n": Limit(None, None, "N", UNSET),
    "pitch_shift_cents": Limit(-5.0, 5.0, "cents"),
    "onset_rpm": Limit(None, None, "rpm", UNSET),
}
U_SHIFT_CENTS = 1.0
U_RPM = 5.0

SLOTS = ("plain", "shim", "screw")
PAPERS = ("passes", "nipped", "grabbed")
COTTONS = ("none", "thin", "medium", "thick")
SENSES = ("with_wheel", "against_wheel")
SOUNDS = ("speaks", "chokes", "whistles", "scratches")
COTTON_STATES = ("in_place", "bunched")
WEARS = ("even", "one_edge")
ONSETS = ("never", "crisp", "late", "always")
TOO_MUCH_ROSIN_TURNS = 5.0


@dataclass(frozen=True)
class Hint:
    """A possible cause. ``fault`` is the row of the fault table, ``because`` the fields read."""

    code: str
    fault: int
    because: tuple[str, ...]
    try_this: tuple[str, ...]


@dataclass(frozen=True)
class StopPitch:
    """A capo or movable stop: the open string's pitch with it on and off."""

    stop: str
    on_hz: float
    off_hz: float

    @property
    def cents(self) -> float:
        return 1200.0 * math.log2(self.on_hz / self.off_hz)


@dataclass(frozen=True)
class VoicingCard:
    """How one string is voiced; None is not looked at.

    ``paper`` is the strip without cotton; ``cotton_state`` after some fifty turns of the wheel;
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

    ``tirant_turns`` are the turns of the tirant's peg from silence to onset, ``onset_rpm`` the
    crank's speed there, ``pitch_shift_cents`` what the tirant's way there did to the pitch.
    """

    string: str
    foot_full: bool | None = None
    play_mm: float | None = None
    onset: str | None = None
    tirant_turns: float | None = None
    onset_rpm: float | None = None
    pitch_shift_cents: float | None = None
    stops: tuple[StopPitch, ...] = ()


Card = TypeVar("Card", VoicingCard, DogCard)

_WORDS: Mapping[str, tuple[str, ...]] = {
    "slot": SLOTS,
    "paper": PAPERS,
    "cotton": COTTONS,
    "cotton_sense": SENSES,
    "cotton_state": COTTON_STATES,
    "cotton_wear": WEARS,
    "sound_open": SOUNDS,
    "sound_octave": SOUNDS,
    "sound_highest": SOUNDS,
    "onset": ONSETS,
}
_NUMBERS: Mapping[str, tuple[float, float]] = {
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
_TICKS = ("on_hook", "pitch_follows_crank", "foot_full")


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
    if name in _WORDS:
        return choice(name, value, _WORDS[name])
    if name in _NUMBERS:
        return between(name, value, *_NUMBERS[name])
    if name in _TICKS:
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
_CONTRADICTIONS: Mapping[type, Sequence[Contradiction]] = {
    VoicingCard: (
        ("sound_open", "on_hook", lambda c: c.on_hook and c.sound_open is not None),
        ("sound_octave", "on_hook", lambda c: c.on_hook and c.sound_octave is not None),
        ("sound_highest", "on_hook", lambda c: c.on_hook and c.sound_highest is not None),
        ("shim_mm", "slot", lambda c: bool(c.shim_mm) and c.slot in ("plain", "screw")),
        ("screw_turns", "slot", lambda c: bool(c.screw_turns) and c.slot in ("plain", "shim")),
        ("cotton_sense", "cotton", lambda c: c.cotton == "none" and c.cotton_sense is not None),
        ("cotton_state", "cotton", lambda c: c.cotton == "none" and c.cotton_state is not None),
        (
            "from_bridge_mm",
            "length_mm",
            lambda c: (c.from_bridge_mm or 0.0) >= (c.length_mm or 1e9),
        ),
    ),
    DogCard: (
        ("tirant_turns", "onset", lambda c: c.onset == "never" and c.tirant_turns is not None),
        ("onset_rpm", "onset", lambda c: c.onset == "never" and c.onset_rpm is not None),
        ("tirant_turns", "onset", lambda c: c.onset == "always" and bool(c.tirant_turns)),
    ),
}


def voicing_hints(card: VoicingCard) -> tuple[Hint, ...]:
    """Return the possible causes on a string's card, in the order of the fault table (9–16)."""
    poor = card.heard("chokes", "scratches")
    scratches, whistles = card.heard("scratches"), card.heard("whistles")
    high_only = card.sound_open == "speaks" and card.sound_highest in ("chokes", "scratches")
    heavy = card.paper == "grabbed"
    lower = {"shim": "thinner_shim", "screw": "screw_down"}.get(card.slot or "", "lower_slot")
    raise_it = "screw_up" if card.slot == "screw" else "thicker_shim"
    gritty = bool(scratches) and not heavy
    much = (card.rosin_turns or 0.0) > TOO_MUCH_ROSIN_TURNS
    loose = card.cotton_state == "bunched" or card.cotton_sense == "against_wheel"
    rules = (
        (card.paper == "passes", "pressure_low", 9, ("paper",), (lower, "more_cotton")),
        (heavy, "pressure_high", 10, ("paper",), (raise_it,)),
        (
            gritty and much, "rosin_excess", 11, (*scratches, "rosin_turns"),
            ("wipe", "harder_rosin"),
        ),
        (
            high_only, "pressure_high_at_short_length", 12, ("sound_open", "sound_highest"),
            (raise_it, "thinner_cotton"),
        ),
        (
            bool(whistles), "cotton_loose_or_false_string", 13, whistles,
            ("move_cotton", "recotton", "change_string"),
        ),
        (
            card.pitch_follows_crank is True, "pressed_too_hard", 14, ("pitch_follows_crank",),
            (raise_it, "more_cotton"),
        ),
        (loose, "cotton_migrates", 15, ("cotton_state", "cotton_sense"), ("recotton_thin",)),
        (
            card.cotton_wear == "one_edge", "string_not_square", 16, ("cotton_wear",),
            ("move_slot_or_bridge",),
        ),
        (
            bool(poor) and card.paper is None, "paper_not_tried", 10, (*poor, "paper"),
            ("try_paper",),
        ),
    )  # fmt: skip
    return tuple(Hint(*rule[1:]) for rule in rules if rule[0])


def dog_hints(card: DogCard, house: Mapping[str, Limit] = DEFAULT_LIMITS) -> tuple[Hint, ...]:
    """Return the possible causes on a dog's card, in the order of the fault table (17–20)."""
    never, always = card.onset == "never", card.onset == "always"
    unfull = card.foot_full is False
    shift = _shift(card, house)
    rpm = _rpm(card, house)
    slow = card.onset == "late" or (rpm is not None and rpm.word == "outside")
    rules = (
        (never and unfull, "foot_stuck", 17, ("onset", "foot_full"), ("trim_foot",)),
        (
            never and not unfull, "tirant_slack_or_dog_heavy", 17, ("onset",),
            ("tighten_tirant_eighth", "more_pressure_on_trompette", "lighter_dog"),
        ),
        (always and unfull, "plate_uneven", 18, ("onset", "foot_full"), ("refit_foot",)),
        (
            always and not unfull, "tirant_tight_or_dog_light", 18, ("onset",),
            ("slacken_tirant", "heavier_dog"),
        ),
        (slow and unfull, "foot_gap", 19, ("onset", "onset_rpm", "foot_full"), ("refit_foot",)),
        (
            slow and not unfull, "dog_heavy_or_string_thick", 19, ("onset", "onset_rpm"),
            ("thin_foot", "lighter_string"),
        ),
        (
            shift is not None and shift.word == "outside", "tirant_too_steep", 20,
            ("pitch_shift_cents",), ("retie_nearer_line",),
        ),
    )  # fmt: skip
    return tuple(Hint(*rule[1:]) for rule in rules if rule[0])


def _shift(card: DogCard, house: Mapping[str, Limit]) -> Verdict | None:
    if card.pitch_shift_cents is None:
        return None
    return judge(card.pitch_shift_cents, U_SHIFT_CENTS, house.get("pitch_shift_cents"))


def _rpm(card: DogCard, house: Mapping[str, Limit]) -> Verdict | None:
    if card.onset_rpm is None:
        return None
    return judge(card.onset_rpm, U_RPM, house.get("onset_rpm"))


def run_voicing(given: Plain) -> dict[str, Any]:
    """Plain data in, plain data out: the ``card``, ``force_n`` with its verdict, ``hints``."""
    card = read_card(VoicingCard, given)
    house = limits(given, DEFAULT_LIMITS)
    # Lift and distance are read by eye: a tenth of the force is the least that is doubtful.
    force = card.force_n
    verdict = None if force is None else plain(judge(force, 0.1 * force, house["force_n"]))
    return {
        "card": _plain(card),
        "force_n": force,
        "force_verdict": verdict,
        "hints": [plain(hint) for hint in voicing_hints(card)],
    }


def run_dog(given: Plain) -> dict[str, Any]:
    """Plain data in, plain data out: the ``card``, verdicts of shift and speed, ``hints``."""
    card = read_card(DogCard, given)
    house = limits(given, DEFAULT_LIMITS)
    shift, rpm = _shift(card, house), _rpm(card, house)
    return {
        "card": _plain(card),
        "pitch_shift_verdict": plain(shift) if shift else None,
        "onset_rpm_verdict": plain(rpm) if rpm else None,
        "hints": [plain(hint) for hint in dog_hints(card, house)],
    }


def _plain(card: VoicingCard | DogCard) -> dict[str, Any]:
    answer = plain(card)
    answer["stops"] = [{**plain(stop), "cents": stop.cents} for stop in card.stops]
    return answer


def _says(kind: type) -> dict[str, str]:
    """What each field of a card takes, for the list of gauges."""
    says = {}
    for one in fields(kind):
        known = _WORDS.get(one.name)
        unit = " to ".join(f"{end:g}" for end in _NUMBERS.get(one.name, ()))
        text = f"one of {', '.join(known)}" if known else unit or "text"
        if one.name in _TICKS:
            text = "true or false"
        if one.name == "stops":
            text = "list of stop, on_hz, off_hz"
        says[one.name] = text if one.name == "string" else f"{text}, optional"
    return {**says, "limits": "own limits by name, optional"}


VOICING = register(
    Gauge(
        "voicing_card",
        VERSION,
        "A string's voicing by paper, cotton, rosin and ear, with hints.",
        _says(VoicingCard),
        run_voicing,
    )
)
DOG = register(
    Gauge(
        "dog_card",
        VERSION,
        "How the trompette's dog stands and answers, with hints.",
        _says(DogCard),
        run_dog,
    )
)
