"""How often what wood and air gauges say of their doubt holds: simulated pieces, houses, plates.

Each table draws true pieces of wood and airs, reads them with the tools' own noise, and counts how
often the truth lies within 1.96 u of what the gauge says: 95 % of the time (JCGM 101:2008, 5.3).
"""

from __future__ import annotations

import math

import numpy as np

from repairs.gauges.base.arrays import Floats
from repairs.gauges.base.verdict import Limit, judge
from repairs.gauges.wood.breaking import forces, load
from repairs.gauges.wood.closing import Air, crack_closing
from repairs.gauges.wood.moisture import U_RH_PCT, U_T_C, emc, emc_pct
from repairs.gauges.wood.movement import U_MC_PCT, change_mm, movement
from repairs.gauges.wood.plate import U_READING_MM, Kind, Place, moved
from repairs.gauges.wood.species import U_REL_TREE, Grain, shrinkage_from_coefficient
from repairs.measures.harness import Figure, Say

K95 = 1.96
LEAST, MOST = ">= 93", "<= 97"
COEFFICIENTS = (0.0010, 0.0013, 0.0025, 0.0035)  # quarter-sawn spruce to flat-sawn maple
AIRS = ((30.0, 50.0), (45.0, 60.0), (65.0, 40.0), (50.0, 75.0))  # % RH, from and to
SEED = 20_106


def woods(drawn: int, say: Say) -> dict[str, Figure]:
    """Draw ``drawn`` of each cell; shares in per cent whose truth lies within 1.96 u, by gauge."""
    rng = np.random.default_rng(SEED)
    shares = {
        "wood_emc": _emc(rng, drawn),
        "wood_movement": _movement(rng, drawn),
        "wood_crack_closing": _closing(rng, drawn),
        "wood_plate_place": _plate(rng, drawn),
        "wood_plate_side_thrust": _side(rng, drawn),
    }
    figures: dict[str, Figure] = {}
    for name, share in shares.items():
        say(f"{name}: {share:.1f} % covered")
        figures[f"{name}_covered"] = Figure(share, "% within 1.96 u", LEAST)
        figures[f"{name}_covered_at_most"] = Figure(share, "% within 1.96 u", MOST)
    figures["wood_two_limits_wrong_word"] = _words(rng, drawn)
    return figures


def _share(off: Floats, u: Floats) -> float:
    return 100.0 * float((np.abs(off) <= K95 * u).mean())


def _emc(rng: np.random.Generator, drawn: int) -> float:
    """A true air read by hygrometer and thermometer; wood off its isotherm by up to 1 %."""
    off, us = [], []
    for rh in (30.0, 40.0, 50.0, 60.0, 70.0):
        truth = emc_pct(20.0, rh) + rng.uniform(-1.0, 1.0, drawn)
        for n in range(drawn):
            said = emc(20.0 + U_T_C * rng.standard_normal(), rh + U_RH_PCT * rng.standard_normal())
            off.append(said.emc_pct - truth[n])
            us.append(said.u_emc_pct)
    return _share(np.array(off), np.array(us))


def _tree(rng: np.random.Generator, c: float) -> Grain:
    true = max(c * (1.0 + U_REL_TREE * rng.standard_normal()), 1e-5)
    return Grain(true, shrinkage_from_coefficient(true), 0.0, "drawn", False)


def _table(c: float) -> Grain:
    return Grain(c, shrinkage_from_coefficient(c), U_REL_TREE, "table", False)


def _movement(rng: np.random.Generator, drawn: int) -> float:
    """A piece of a tree that is not the table's, moisture by the meter at both ends."""
    off, us = [], []
    for c in COEFFICIENTS:
        for first, last in ((8.0, 12.0), (12.0, 8.0), (5.0, 10.0), (10.0, 17.0)):
            for _ in range(drawn):
                truth = change_mm(180.0, _tree(rng, c), first, last)
                read = (m + U_MC_PCT * rng.standard_normal() for m in (first, last))
                said = movement(180.0, _table(c), *read)
                off.append(said.change_mm - truth)
                us.append(said.u_change_mm)
    return _share(np.array(off), np.array(us))


def _closing(rng: np.random.Generator, drawn: int) -> float:
    """A crack between two airs: one isotherm for both ends, hygrometers read twice."""
    off, us = [], []
    for c in COEFFICIENTS:
        for first, last in AIRS:
            for _ in range(drawn):
                isotherm = rng.uniform(-1.0, 1.0)
                ends = (emc_pct(20.0, rh) + isotherm for rh in (first, last))
                truth = change_mm(180.0, _tree(rng, c), *ends)
                t_c = 20.0 + U_T_C * rng.standard_normal(2)
                rh = np.array((first, last)) + U_RH_PCT * rng.standard_normal(2)
                air = Air(float(t_c[0]), float(rh[0]), float(t_c[1]), float(rh[1]))
                said = crack_closing(180.0, _table(c), air)
                off.append(said.closing_mm - truth)
                us.append(said.u_closing_mm)
    return _share(np.array(off), np.array(us))


def _plate(rng: np.random.Generator, drawn: int) -> float:
    """A grid under a dial bridge that is set down askew; 2, 3, 4 or 8 places over the ribs."""
    off: list[float] = []
    us: list[float] = []
    for edges in (2, 3, 4, 8):
        at = rng.uniform((0.0, 0.0), (300.0, 200.0), (edges + 9, 2))
        tilts = np.array((0.5, 1e-3, 1e-3)) if edges >= 3 else np.array((0.5, 0.0, 0.0))
        for _ in range(drawn):
            sunk = np.r_[np.zeros(edges), rng.normal(0.0, 0.3, 9)]
            seat = np.column_stack((np.ones(len(at)), at)) @ (tilts * rng.standard_normal(3))
            noise = U_READING_MM * rng.standard_normal((2, len(at)))
            found, _datum = moved(_places(at, noise[0], sunk + seat + noise[1], edges))
            off.extend(one.strung_mm - sunk[n] for n, one in enumerate(found) if n >= edges)
            us.extend(one.u_strung_mm for n, one in enumerate(found) if n >= edges)
    return _share(np.array(off), np.array(us))


def _places(at: Floats, slack: Floats, pitch: Floats, edges: int) -> tuple[Place, ...]:
    kinds: list[Kind] = ["edge" if n < edges else "plate" for n in range(len(at))]
    return tuple(
        Place(
            str(n), kind, float(at[n][0]), float(at[n][1]), float(slack[n]), float(pitch[n]), None
        )
        for n, kind in enumerate(kinds)
    )


def _side(rng: np.random.Generator, drawn: int) -> float:
    off, us = [], []
    for side in (1.0, 4.0, 10.0):
        truth = forces(130.0, 3.0, 8.0, side)[1]
        for _ in range(drawn):
            noise = rng.standard_normal(4) * (6.5, 0.5, 0.5, 0.5)
            read = dict(zip("tabs", np.array((130.0, 3.0, 8.0, side)) + noise, strict=True))
            said = load(read, "bass", u_angle_deg=0.5, u_tension_n=6.5)
            off.append(said.side_n - truth)
            us.append(said.u_side_n)
    return _share(np.array(off), np.array(us))


def _words(rng: np.random.Generator, drawn: int) -> Figure:
    """Of true values on a limit, how many are called outside; limits from one to eight u apart."""
    worst = 0.0
    for width in (0.0, 0.5, 1.0, 2.0, 3.3, 5.0, 8.0):
        limit = Limit(0.0, width, "")
        read = width + rng.standard_normal(20 * drawn)
        wrong = sum(judge(float(value), 1.0, limit).word == "outside" for value in read)
        worst = max(worst, 100.0 * wrong / len(read))
    # Of seven widths one may stand out: three and a half standard deviations beyond the five.
    bound = 5.0 + 350.0 * math.sqrt(0.05 * 0.95 / (20 * drawn))
    return Figure(worst, "% wrong at worst", f"<= {bound:.2f}")
