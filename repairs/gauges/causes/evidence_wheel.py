"""What the dial at the wheel says of causes: form, step, roughness, side run-out, repeating."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.causes.net import Value

Plain = Mapping[str, Any]
HARMONICS = 3
LEAST_PLACES = 12
STEP_OVER = 4.0  # times the roughness, and more than STEP_FROM_MM: then one place stands out
STEP_FROM_MM = 0.018
USUAL_SIGMA_MM = 0.004  # for which the healthy figures of the fixture hold
REPEATS = ("repeat_sd_mm", "repeatability_mm", "async_sd_mm")


def wheel_values(given: Plain, out: Plain) -> list[Value]:
    """Figures of one wheel, mm; what the gauge could not say is left out."""
    if out.get("ecc_mm") is None:
        return []
    found = []
    form = _form(given)
    for name, own in (("ecc_mm", 0), ("oval_amp_mm", 1)):
        value = form[own] if form else out.get(name)
        if value is not None:
            found.append(Value(name, float(value), float(out.get(f"u_{name}") or 0.0)))
    if form:
        scale = USUAL_SIGMA_MM / max(float(given.get("gauge_sigma_mm") or USUAL_SIGMA_MM), 1e-4)
        scale = min(max(scale, 0.25), 1.0)  # a coarser dial leaves more beside the form
        found += [Value("step_mm", form[2] * scale), Value("residual_mm", form[3] * scale)]
    if out.get("axial_runout_mm") is not None:
        u = float(out.get("u_axial_runout_mm") or 0.0)
        found.append(Value("axial_runout_mm", float(out["axial_runout_mm"]), u))
    repeat = _repeat(given, out)
    return found if repeat is None else [*found, Value("repeat_sd_mm", repeat)]


def _turns(given: Plain) -> Floats | None:
    """Readings of each turn, shape (turns, places); None where a place was not read.

    A gauge takes one turn as a list, several as a list of lists; a second one may stand by itself.
    """
    rows = given.get("readings_mm")
    if not isinstance(rows, Sequence) or not rows:
        return None
    turns = list(rows) if isinstance(rows[0], Sequence) else [rows]
    second = given.get("second_turn_mm")
    if isinstance(second, Sequence) and second:
        turns.append(second)
    numbers = all(isinstance(v, int | float) for turn in turns for v in turn)
    if not numbers or len({len(turn) for turn in turns}) != 1:
        return None
    return np.array(turns, dtype=np.float64)


def _form(given: Plain) -> tuple[float, float, float, float] | None:
    """Amplitudes of one and two waves, greatest step, roughness; the step is not in the form."""
    turns = _turns(given)
    if turns is None or turns.shape[1] < LEAST_PLACES:
        return None
    r = np.array(turns.mean(axis=0), dtype=np.float64)
    angles = given.get("angles_deg") or list(np.arange(len(r)) * 360.0 / len(r))
    if len(angles) != len(r) or any(angle is None for angle in angles):
        return None
    theta = np.radians(np.array(angles, dtype=np.float64))
    waves = [f(n * theta) for n in range(1, HARMONICS + 1) for f in (np.cos, np.sin)]
    basis = np.column_stack([np.ones_like(theta), *waves])
    law, left, rough = _parted(basis, r)
    return math.hypot(*law[1:3]), math.hypot(*law[3:5]), float(np.abs(left).max()), rough


def _parted(basis: Floats, r: Floats) -> tuple[Floats, Floats, float]:
    """The form, what is left beside it, and its roughness; a step is left out of the form."""
    law = _solved(basis, r)
    left = r - basis @ law
    place = int(np.abs(left).argmax())
    kept = ~np.isin(np.arange(len(r)), [(place + d) % len(r) for d in (-1, 0, 1)])
    clean = _solved(basis[kept], r[kept])
    beside = r - basis @ clean
    rough = _spread(beside[kept], basis.shape[1])
    if np.abs(left[place]) < max(STEP_OVER * rough, STEP_FROM_MM):
        return law, left, _spread(left, basis.shape[1])
    return clean, beside, rough


def _solved(basis: Floats, r: Floats) -> Floats:
    return np.array(np.linalg.lstsq(basis, r, rcond=None)[0], dtype=np.float64)


def _spread(left: Floats, used: int) -> float:
    return float(np.sqrt((left**2).sum() / max(len(left) - used, 1)))


def _repeat(given: Plain, out: Plain) -> float | None:
    for name in REPEATS:
        if out.get(name) is not None:
            return float(out[name])
    turns = _turns(given)
    if turns is None or len(turns) < 2:
        return None
    return float(np.sqrt(turns.var(axis=0, ddof=1).mean()))
