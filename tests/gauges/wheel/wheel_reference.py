"""Wheels with known answers, by other ways than the gauge's: pure Python, nothing shared with it.

Fits by normal equations and elimination; the
minimum zone by trying every four readings, the inscribed circle by trying every three; the
decision as a table of comparisons.
"""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import dataclass
from typing import Any

SIGMA_MM = 0.005
Rows = list[list[float]]


@dataclass(frozen=True)
class Profile:
    """Amplitudes in mm of the harmonics 1, 2, 3 and 5, and the angles of their high spots."""

    amps: tuple[float, float, float, float]
    highs: tuple[float, float, float, float]

    def at(self, angle: float) -> float:
        return sum(
            amp * math.cos(order * (angle - high))
            for order, amp, high in zip((1, 2, 3, 5), self.amps, self.highs, strict=True)
        )


def profile(chance: random.Random, kind: str) -> Profile:
    """A rim off its axle, out of round, both, or good."""
    amps = {
        "ecc": (chance.uniform(0.08, 0.35), chance.uniform(0.0, 0.012), 0.004, 0.003),
        "form": (
            chance.uniform(0.0, 0.012),
            chance.uniform(0.05, 0.12),
            chance.uniform(0.02, 0.05),
            0.012,
        ),
        "both": (chance.uniform(0.06, 0.12), chance.uniform(0.04, 0.07), 0.02, 0.006),
        "good": (0.004, 0.003, 0.001, 0.001),
    }[kind]
    first, second, third, fifth = (chance.uniform(0, 2 * math.pi) for _ in range(4))
    return Profile(amps, (first, second, third, fifth))


def case(seed: int) -> dict[str, Any]:
    """One wheel as it would be typed, of any kind, sign, number of readings and gaps."""
    chance = random.Random(seed)  # noqa: S311 - invented wheels, no secret
    kind = chance.choice(["ecc", "form", "both", "good"])
    count = chance.choice([8, 9, 12, 15, 16, 18, 20, 24])
    missing = chance.randint(0, count // 6) if count >= 12 else 0
    sign = chance.choice([1, -1])
    start = chance.choice([0.0, 5.0, 10.0, 350.0])
    angles = [start + 360 * place / count for place in range(count)]
    rim, zero = profile(chance, kind), chance.uniform(-0.3, 0.3)
    readings: list[float | None] = [
        round(sign * rim.at(math.radians(angle)) + zero + chance.gauss(0, SIGMA_MM), 3)
        for angle in angles
    ]
    for place in chance.sample(range(count), missing):
        readings[place] = None
    return {
        "angles_deg": angles,
        "readings_mm": readings,
        "sign": sign,
        "mean_diameter_mm": round(chance.uniform(120, 190), 2),
        "gauge_sigma_mm": SIGMA_MM,
    }


def answers(given: dict[str, Any]) -> dict[str, Any]:
    """What the gauge must answer for such a case."""
    pairs = [
        (math.radians(angle), given["sign"] * value)
        for angle, value in zip(given["angles_deg"], given["readings_mm"], strict=True)
        if value is not None
    ]
    angles, r = [angle for angle, _ in pairs], [value for _, value in pairs]
    mean = sum(r) / len(r)
    joint = least_squares(angles, r, 3)
    plain = least_squares(angles, r, 1)
    off = [
        v - plain[0] - plain[1] * math.cos(t) - plain[2] * math.sin(t)
        for t, v in zip(angles, r, strict=True)
    ]
    tir, form = max(r) - min(r), max(off) - min(off)
    return {
        "read_tir_mm": tir,
        "ecc_mm": math.hypot(joint[1], joint[2]),
        "high_spot_deg": math.degrees(math.atan2(joint[2], joint[1])) % 360,
        "oval_amp_mm": math.hypot(joint[3], joint[4]),
        "lsc_ecc_mm": math.hypot(plain[1], plain[2]),
        "lsc_high_spot_deg": math.degrees(math.atan2(plain[2], plain[1])) % 360,
        "read_lsc_roundness_mm": form,
        "mz_roundness_mm": minimum_zone(angles, r),
        "diameter_left_mm": given["mean_diameter_mm"] + 2 * (min(r) - mean),
        "recentred_diameter_left_mm": given["mean_diameter_mm"] + 2 * (inscribed(angles, r) - mean),
        "action": decision(
            tir, 2 * math.hypot(plain[1], plain[2]), form, len(r), math.hypot(*joint[1:3])
        ),
    }


def decision(tir: float, off_axle: float, form: float, count: int, ecc: float) -> str:
    """Leave at 0.02 mm or at the noise; a form that is not surely outside is kept.

    A form is surely outside of 0.05 mm, for these wheels and this noise, from 0.09 mm on.
    """
    noise = 2 * SIGMA_MM * math.sqrt(2 * math.log(count))
    if form > 0.09 and count >= 11:
        return "prepare"
    if tir <= max(0.02, noise):
        return "leave"
    if form > noise and form > 2 * off_axle:
        return "keep_form"
    return "leave" if ecc < 0.005 else "recentre"


def least_squares(angles: list[float], r: list[float], top: int) -> list[float]:
    rows = [
        [1.0] + [wave(order * t) for order in range(1, top + 1) for wave in (math.cos, math.sin)]
        for t in angles
    ]
    size = range(len(rows[0]))
    matrix = [[sum(row[i] * row[j] for row in rows) for j in size] for i in size]
    return solve(matrix, [sum(row[i] * v for row, v in zip(rows, r, strict=True)) for i in size])


def solve(matrix: Rows, right: list[float]) -> list[float]:
    """Gauss-Jordan elimination with pivots."""
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    for i in range(len(rows)):
        pivot = max(range(i, len(rows)), key=lambda k: abs(rows[k][i]))
        rows[i], rows[pivot] = rows[pivot], rows[i]
        for k in range(len(rows)):
            if k != i:
                factor = rows[k][i] / rows[i][i]
                rows[k] = [a - factor * b for a, b in zip(rows[k], rows[i], strict=True)]
    return [row[-1] / row[i] for i, row in enumerate(rows)]


def minimum_zone(angles: list[float], r: list[float]) -> float:
    """The zone of all readings is the widest zone of any four (de la Vallée Poussin)."""
    places = [(math.cos(t), math.sin(t)) for t in angles]
    widest = 0.0
    for four in itertools.combinations(range(len(angles)), 4):
        signed = []
        for left_out in range(4):
            i, j, k = (four[p] for p in range(4) if p != left_out)
            (a, b), (c, d), (e, f) = places[i], places[j], places[k]
            signed.append((-1) ** left_out * ((c - a) * (f - b) - (e - a) * (d - b)))
        total = sum(abs(area) for area in signed)
        if total > 1e-12:
            level = sum(area * r[i] for area, i in zip(signed, four, strict=True)) / total
            widest = max(widest, 2 * abs(level))
    return widest


def inscribed(angles: list[float], r: list[float]) -> float:
    """Mean of the largest limaçon inside: the least mean of any three round the centre."""
    best = math.inf
    for three in itertools.combinations(range(len(angles)), 3):
        turns = sorted(angles[i] % (2 * math.pi) for i in three)
        gaps = [turns[1] - turns[0], turns[2] - turns[1], 2 * math.pi - turns[2] + turns[0]]
        if max(gaps) <= math.pi + 1e-9:
            rows = [[1.0, math.cos(angles[i]), math.sin(angles[i])] for i in three]
            best = min(best, solve(rows, [r[i] for i in three])[0])
    return best
