"""How hard the wheel may press on a string, from the open string up to the highest key.

A bowed string keeps its tone between two forces. Above ``F_max = 2·Z·v/(β·Δμ)`` the string is not
let go and chokes; below ``F_min = Z²·v/(2·R·β²·Δμ)`` it slips twice and breaks to the octave. Z is
the string's wave impedance ``T/(2·L·f)``, v the speed of the rim, β the wheel's place as a share of
the sounding length, Δμ what friction loses from sticking to slipping, R the resistance that the
bridge offers. A key shortens the string and so raises β, while the wheel presses as before: that is
why high keys stay mute. Both formulae hold for small β.
Source: J. C. Schelleng, The bowed string and the player, J. Acoust. Soc. Am. 53 (1973) 26.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from repairs.gauges.base.checks import between
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, choice, only, rows
from repairs.gauges.base.plain import maybe, needed, plain
from repairs.gauges.base.propagation import spread
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import K
from repairs.gauges.wheel.force import StringOnWheel

VERSION = "bowing 1"
Z95 = 1.96
MOST_KEYS = 60
FAR = 0.2  # β beyond which the formulae for small β are a rough guide

Word = Literal["speaks", "may_choke", "chokes", "may_not_start", "does_not_start", "not_judged"]
SOUNDS = ("speaks", "chokes", "weak")

# What can be on a bench, and the standard uncertainty taken where none is typed: a share of the
# value, or an amount in its unit.
ENDS: Mapping[str, tuple[float, float]] = {
    "tension_n": (0.05, 500.0),
    "length_mm": (100.0, 1000.0),
    "pitch_hz": (16.0, 5000.0),
    "from_bridge_mm": (1.0, 200.0),
    "lift_mm": (0.01, 20.0),
    "wheel_mm": (50.0, 300.0),
    "turns_per_min": (5.0, 400.0),
    "friction": (0.05, 1.5),
    "resistance_kg_s": (1.0, 1000.0),
}
U_AMOUNT = {"length_mm": 0.5, "from_bridge_mm": 0.5, "lift_mm": 0.1, "wheel_mm": 0.5}
U_SHARE = {
    "tension_n": 0.05,  # by Mersenne's law from a micrometer on gut
    "pitch_hz": 0.0005778,  # one cent
    "turns_per_min": 0.1,  # a hand that counts against a watch
    "friction": 0.3,  # 0.8 sticking and 0.3 slipping on rosin, from memory
    "resistance_kg_s": 0.7,  # within a factor of two, from memory
}
DEFAULTS = {"friction": 0.5, "resistance_kg_s": 30.0, "turns_per_min": 60.0}


@dataclass(frozen=True)
class Force:
    """A force in N with the range that holds it in 95 of 100 cases; its logarithm is normal."""

    n: float
    low_n: float
    high_n: float


@dataclass(frozen=True)
class Note:
    """One note: its key (0: open), sounding length, the wheel's share β, both forces, the word.

    ``far``: β is beyond what the formulae are made for. ``sound`` is what was heard, if noted.
    """

    key: int
    length_mm: float
    beta: float
    most: Force
    least: Force
    word: Word
    far: bool
    sound: str | None = None


@dataclass(frozen=True)
class Window:
    """The bowing window of a string. Lifts and force are None where no lift was read.

    ``lift_least_mm`` gives the open string its least force, ``lift_most_mm`` the highest key its
    most. ``lift_wanted_mm`` is the lift to go to, None where the present one serves or none does;
    ``by_ear``: it follows from the keys that were heard and not from friction and speed.
    ``string_up_mm`` is by how much the string is raised at the bridge for it, below 0 lowered.
    """

    notes: tuple[Note, ...]
    impedance_kg_s: float
    rim_m_s: float
    force_n: float | None
    u_force_n: float | None
    lift_least_mm: float
    lift_most_mm: float
    lift_wanted_mm: float | None
    force_wanted_n: float | None
    string_up_mm: float | None
    u_string_up_mm: float | None
    by_ear: bool
    serves: bool


Values = Mapping[str, float]


def impedance_kg_s(v: Values) -> float:
    """Return the wave impedance √(T·μ) of a string, by its pitch: T/(2·L·f)."""
    return v["tension_n"] / (2.0 * v["length_mm"] * 1e-3 * v["pitch_hz"])


def rim_m_s(v: Values) -> float:
    """Return the speed of the rim in m/s: π·D·n/60."""
    return math.pi * v["wheel_mm"] * 1e-3 * v["turns_per_min"] / 60.0


def most_n(v: Values, at_mm: float = 0.0) -> float:
    """Return the greatest force that a string stopped at ``at_mm`` bears: 2·Z·v/(β·Δμ)."""
    beta = v["from_bridge_mm"] / (v["length_mm"] - at_mm)
    return 2.0 * impedance_kg_s(v) * rim_m_s(v) / (beta * v["friction"])


def least_n(v: Values, at_mm: float = 0.0) -> float:
    """Return the least force that holds the tone: Z²·v/(2·R·β²·Δμ)."""
    beta = v["from_bridge_mm"] / (v["length_mm"] - at_mm)
    z = impedance_kg_s(v)
    return z * z * rim_m_s(v) / (2.0 * v["resistance_kg_s"] * beta**2 * v["friction"])


def force_n(v: Values) -> float:
    """Return the wheel's force; a key pushes the string aside, so it is the same for all notes."""
    return StringOnWheel(
        v["tension_n"], v["length_mm"], v["from_bridge_mm"], v["lift_mm"]
    ).force_n()


def window(v: Values, us: Values, keys: Sequence[tuple[int, float, str | None]]) -> Window:
    """Return the window of a string; ``keys`` hold number, place from the nut in mm, and sound.

    ``v`` and ``us`` are values and standard uncertainties by the names of ``ENDS``; without
    ``lift_mm`` no note is judged. Uncertainties are carried in the logarithm (JCGM 100:2008,
    5.1.2).
    """
    notes = [_note(v, us, *one) for one in ((0, 0.0, None), *keys)]
    lift = v.get("lift_mm")
    ends = (_lift_for(v, notes[0].least.n), _lift_for(v, notes[-1].most.n))
    wanted, by_ear = _wanted(v, notes, ends)
    raised = None if wanted is None or lift is None else _up(v, lift - wanted)
    return Window(
        tuple(notes),
        impedance_kg_s(v),
        rim_m_s(v),
        None if lift is None else force_n(v),
        None if lift is None else spread(force_n, v, us),
        *ends,
        wanted,
        None if wanted is None else force_n({**v, "lift_mm": wanted}),
        raised,
        None if wanted is None else _up(v, _u_change(v, us, notes[-1], wanted, by_ear=by_ear)),
        by_ear,
        all(note.word == "speaks" for note in notes),
    )


def _up(v: Values, lift_mm: float) -> float:
    """How much higher the string stands at the bridge when the wheel is to lift it so much less."""
    return lift_mm * v["length_mm"] / (v["length_mm"] - v["from_bridge_mm"])


def _u_change(v: Values, us: Values, top: Note, wanted: float, *, by_ear: bool) -> float:
    """The doubt of a change of lift; by ear it is a share of the lift, and so is its doubt."""
    u_lift = us.get("lift_mm", 0.0)
    if by_ear:
        return u_lift * abs(1.0 - wanted / v["lift_mm"])
    at = v["length_mm"] - top.length_mm

    def middle(x: Values) -> float:
        return 0.5 * math.log(_lift_for(x, least_n(x)) * _lift_for(x, most_n(x, at)))

    return math.hypot(u_lift, wanted * spread(middle, v, us))


def _lift_for(v: Values, force: float) -> float:
    """The lift that gives a force; linear, as for lifts that are small beside the wheel's place."""
    one = force_n({**v, "lift_mm": 0.01}) / 0.01
    return force / one


def _note(v: Values, us: Values, key: int, at_mm: float, sound: str | None) -> Note:
    length = v["length_mm"] - at_mm
    beta = v["from_bridge_mm"] / length
    most, least = (_force(law, v, us, at_mm) for law in (most_n, least_n))
    word = _word(v, us, at_mm) if "lift_mm" in v else "not_judged"
    return Note(key, length, beta, most, least, word, beta > FAR, sound)


def _force(law: Any, v: Values, us: Values, at_mm: float) -> Force:
    u = spread(lambda x: math.log(law(x, at_mm)), v, us)
    n = law(v, at_mm)
    return Force(n, n * math.exp(-Z95 * u), n * math.exp(Z95 * u))


def _word(v: Values, us: Values, at_mm: float) -> Word:
    """Force against both ends, with guard bands in the logarithm (JCGM 106:2012, 8.3)."""

    def room(law: Any, sign: float) -> float:
        """By how many standard uncertainties the force lies inside of one end."""

        def log(x: Values) -> float:
            return sign * math.log(law(x, at_mm) / force_n(x))

        return log(v) / (spread(log, v, us) or 1e-12)

    above, below = room(most_n, 1.0), room(least_n, -1.0)
    if above < -K:
        return "chokes"
    if below < -K:
        return "does_not_start"
    if above < K:
        return "may_choke"
    return "may_not_start" if below < K else "speaks"


def _wanted(
    v: Values, notes: Sequence[Note], ends: tuple[float, float]
) -> tuple[float | None, bool]:
    """The lift to go to, and whether the ear told it.

    Heard, the last key that speaks below the first that chokes tells the force that its length
    bears; the most goes with the sounding length, so the highest key wants so much less.
    """
    lift = v.get("lift_mm")
    if lift is None:
        return None, False
    choking = next((n for n in notes if n.sound == "chokes"), None)
    speaking = [n for n in notes if n.sound == "speaks" and (not choking or n.key < choking.key)]
    if choking is not None:
        bears = speaking[-1] if speaking else None
        return (lift * notes[-1].length_mm / bears.length_mm if bears else None), bears is not None
    if any(n.sound == "speaks" and n.key == notes[-1].key for n in notes):
        return None, True
    words = {n.word for n in notes}
    if not words & {"chokes", "does_not_start"} or ends[0] > ends[1]:
        return None, False
    # The middle of the window in the ratio: as far from choking as from breaking to the octave.
    return math.sqrt(ends[0] * ends[1]), False


KEY = ("key", "at_mm", "sound")
INPUTS = {
    "tension_n": "tension of the string, N",
    "length_mm": "speaking length, mm",
    "pitch_hz": "pitch of the open string, Hz",
    "from_bridge_mm": "wheel from the bridge, mm",
    "lift_mm": "optional: how far the wheel lifts the string, mm",
    "wheel_mm": "diameter of the wheel, mm",
    "turns_per_min": "optional: turns of the crank per minute (60)",
    "friction": "optional: friction lost from sticking to slipping (0.5)",
    "resistance_kg_s": "optional: resistance of the bridge, kg/s (30)",
    "keys": "list of keys from the nut: key (number), at_mm from the nut; optional: sound (speaks, "
    "chokes, weak)",
    **{f"u_{name}": f"optional: standard uncertainty of {name}" for name in ENDS},
}


def run(given: Plain) -> dict[str, Any]:
    """Answer of the gauge ``bowing_window`` for plain data; raises GaugeInputError."""
    only(given, INPUTS)
    v: dict[str, float] = {}
    for name, ends in ENDS.items():
        if name in DEFAULTS and absent(given, name):
            v[name] = DEFAULTS[name]
        elif name != "lift_mm" or not absent(given, name):
            v[name] = needed(given, name, ends)
    if v["from_bridge_mm"] >= v["length_mm"] / 2.0:
        half = f"{v['length_mm'] / 2.0:g}"
        raise GaugeInputError(
            "too_big", field="from_bridge_mm", value=f"{v['from_bridge_mm']:g}", limit=half
        )
    return plain(window(v, _doubts(given, v), _keys(given, v)))


def _doubts(given: Plain, v: Values) -> dict[str, float]:
    found = {}
    for name, value in v.items():
        usual = U_AMOUNT[name] if name in U_AMOUNT else U_SHARE[name] * value
        typed = maybe(given, f"u_{name}", (0.0, value))
        found[name] = usual if typed is None else typed
    return found


def _keys(given: Plain, v: Values) -> list[tuple[int, float, str | None]]:
    """The keys in their order; refuses one twice, out of order, or beyond the wheel."""
    found: list[tuple[int, float, str | None]] = []
    most = v["length_mm"] - v["from_bridge_mm"] - 1.0
    for row, one in enumerate(rows("keys", given.get("keys"), least=1, most=MOST_KEYS), 1):
        only(one, KEY, field="keys", row=row)
        key = between("key", one.get("key"), 1, MOST_KEYS, row=row)
        if key != int(key):
            raise GaugeInputError("not_whole", field="key", row=row, value=f"{key:g}")
        at = between("at_mm", one.get("at_mm"), 0.1, most, row=row)
        _check_rising(found, int(key), at, row)
        sound = None if absent(one, "sound") else choice("sound", one["sound"], SOUNDS, row=row)
        found.append((int(key), at, sound))
    return found


def _check_rising(
    found: Sequence[tuple[int, float, str | None]], key: int, at: float, row: int
) -> None:
    if any(key == known for known, _at, _sound in found):
        raise GaugeInputError("twice", field="key", row=row, value=key)
    if found and key < found[-1][0]:
        raise GaugeInputError("not_rising", field="key", row=row, value=key, limit=found[-1][0])
    if found and at <= found[-1][1]:
        raise GaugeInputError(
            "not_rising", field="at_mm", row=row, value=f"{at:g}", limit=f"{found[-1][1]:g}"
        )


GAUGE = register(
    Gauge(
        "bowing_window",
        VERSION,
        "How hard the wheel may press on a string, key by key, and which lift serves all.",
        INPUTS,
        run,
    )
)
