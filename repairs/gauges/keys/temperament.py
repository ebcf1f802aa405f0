"""Scales as cents above the open string: six temperaments of the trade, and how to read any other.

The root of each is the open string, or the drone where ``keyboard`` is told that the open string
is another step of the scale.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

VERSION = "temperament 1"

PER_OCTAVE = 1200.0


def ratio_cents(ratio: float | Fraction) -> float:
    """Return the interval of a frequency ratio (> 0) in cents: 1200·log₂ r."""
    return PER_OCTAVE * math.log2(ratio)


# 701.955 cents.
FIFTH = ratio_cents(Fraction(3, 2))
# 23.460 cents: by this much twelve pure fifths pass seven octaves.
PYTHAGOREAN_COMMA = ratio_cents(Fraction(3**12, 2**19))
# 21.506 cents: by this much four pure fifths pass a pure third.
SYNTONIC_COMMA = ratio_cents(Fraction(81, 80))


@dataclass(frozen=True)
class Scale:
    """Steps 1 to N in cents above step 0; the last is the period at which the scale repeats."""

    name: str
    description: str
    steps_cents: tuple[float, ...]

    def at(self, step: int) -> float:
        """Return the cents of any step, also beyond the period and below 0."""
        period, place = divmod(step, len(self.steps_cents))
        within = self.steps_cents[place - 1] if place else 0.0
        return period * self.steps_cents[-1] + within

    def above(self, open_step: int, key: int) -> float:
        """Return the cents of a key above the open string that is step ``open_step``."""
        return self.at(open_step + key) - self.at(open_step)


def chain(up: Sequence[float], down: Sequence[float]) -> tuple[float, ...]:
    """Return the twelve steps of a chain of eleven fifths through step 0, in cents.

    ``up`` holds by how many cents each fifth above the root is narrowed (C–G, G–D, …), ``down``
    the same for those below it (F–C, B♭–F, …).
    """
    steps = {0: 0.0}
    for sign, tempering in ((1, up), (-1, down)):
        height, step = 0.0, 0
        for narrowed in tempering:
            height = (height + sign * (FIFTH - narrowed)) % PER_OCTAVE
            step = (step + sign * 7) % 12
            steps[step] = height
    return (*(steps[step] for step in range(1, 12)), PER_OCTAVE)


# A drone does not move: every note is heard against it, and beats unless it is pure. For two drones
# Hurdygurdywiki (“Tangent tuning”) wants 9/8, 5/4, 4/3, 3/2, 5/3 and 16/9 pure.
_JUST = ("16/15", "9/8", "6/5", "5/4", "4/3", "45/32", "3/2", "8/5", "5/3", "16/9", "15/8", "2")
_P, _S = PYTHAGOREAN_COMMA / 4.0, SYNTONIC_COMMA / 4.0

# Sources: chains and commas as printed for the historical temperaments (checked against two
# published tables in the tests); just ratios: the order in which a drone wants its notes pure.
TEMPERAMENTS: Mapping[str, Scale] = {
    scale.name: scale
    for scale in (
        Scale("equal", "twelve equal steps", tuple(100.0 * n for n in range(1, 13))),
        Scale("just", "pure to the drone", tuple(ratio_cents(Fraction(r)) for r in _JUST)),
        Scale("pythagorean", "pure fifths, D♭ to F♯", chain((0.0,) * 6, (0.0,) * 5)),
        Scale("meantone", "quarter-comma meantone, E♭ to G♯", chain((_S,) * 8, (_S,) * 3)),
        Scale(
            "werckmeister_iii",
            "Werckmeister III: C–G–D–A and B–F♯ narrowed by a quarter of the Pythagorean comma",
            chain((_P, _P, _P, 0.0, 0.0, _P), (0.0,) * 5),
        ),
        Scale(
            "kirnberger_iii",
            "Kirnberger III: C–G–D–A–E narrowed by a quarter of the syntonic comma",
            # Its circle does not close: the schisma of 1.954 cents is left between F♯ and D♭.
            chain((_S, _S, _S, _S, 0.0, 0.0), (0.0,) * 5),
        ),
    )
}

# Other names that people and programs write, in small letters with underscores.
ALSO_CALLED: Mapping[str, str] = {
    "et": "equal",
    "12tet": "equal",
    "equal_temperament": "equal",
    "pure": "just",
    "just_intonation": "just",
    "quarter_comma": "meantone",
    "quarter_comma_meantone": "meantone",
    "werckmeister": "werckmeister_iii",
    "werckmeister_3": "werckmeister_iii",
    "kirnberger": "kirnberger_iii",
    "kirnberger_3": "kirnberger_iii",
}


def plain_name(name: str) -> str:
    """Return the name of a temperament as it stands in ``TEMPERAMENTS``, if it is one."""
    simple = name.strip().lower().replace(" ", "_").replace("-", "_")
    return ALSO_CALLED.get(simple, simple)
