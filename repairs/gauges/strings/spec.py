"""What is known of one string, checked: its quantities, their doubts, and which is left out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from repairs.gauges.base.checks import between, positive
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent
from repairs.gauges.strings.materials import PLAIN, Material, material

# Wide enough for the thinnest wire and the thickest gros bourdon, narrow enough that a slipped
# comma or a diameter typed in hundredths is refused.
# The least and the most that is possible in the shop, in the unit of the name.
LEAST = {
    "tension_n": 0.05,
    "length_mm": 10.0,
    "pitch_hz": 8.0,
    "mass_g_m": 0.002,
    "diameter_mm": 0.02,
    "density_kg_m3": 300.0,
}


MOST = {
    "tension_n": 1000.0,
    "length_mm": 2000.0,
    "pitch_hz": 5000.0,
    "mass_g_m": 200.0,
    "diameter_mm": 8.0,
    "density_kg_m3": 22000.0,
}


# Standard uncertainties that are taken when none is given: a rule read to half a millimetre, a
# tuner to one cent, a micrometer on gut to a hundredth. Shares of the value where u is relative.
DEFAULT_U = {"length_mm": 0.5, "diameter_mm": 0.01, "tension_n": 0.0}


DEFAULT_SHARE = {"pitch_hz": 0.0005778, "mass_g_m": 0.01, "density_kg_m3": 0.02}


@dataclass(frozen=True)
class StringSpec:
    """What is known of one string, checked: ``values`` and their standard uncertainties ``us``.

    ``computed`` names what was left out. ``core_mm`` is the diameter that carries the stress, of
    material ``core``; both are None for a wound string with an unknown core.
    """

    values: Mapping[str, float]
    us: Mapping[str, float]
    computed: str
    assumed: tuple[str, ...] = ()
    core: Material | None = None
    core_mm: float | None = None


def quantity(name: str, value: object, *, row: int | None = None) -> float:
    """Return one quantity of a string, refused beyond ``LEAST`` and ``MOST``."""
    most = MOST[name]
    return between(name, positive(name, value, most=most, row=row), LEAST[name], most, row=row)


def read_string(given: Mapping[str, Any], *, row: int | None = None) -> StringSpec:
    """Check what is given of one string (names as in ``INPUTS``) and see what is left out.

    Raises GaugeInputError ``leave_one`` unless exactly one quantity is left out, ``needs_one`` when
    mass, diameter and density say the same thing thrice, and the usual ones for impossible values.
    """
    values = {
        name: quantity(name, given[name], row=row) for name in MOST if not absent(given, name)
    }
    if {"mass_g_m", "diameter_mm", "density_kg_m3"} <= values.keys():
        raise GaugeInputError("needs_one", field="mass_g_m, density_kg_m3", row=row, value=2)
    made_of = (
        None if absent(given, "material") else material("material", given["material"], row=row)
    )
    if made_of and "density_kg_m3" not in values and not {"mass_g_m", "diameter_mm"} <= set(values):
        values["density_kg_m3"] = made_of.density_kg_m3
    computed = _left_out(values, row)
    us, assumed = _uncertainties(given, values, made_of, row)
    core, core_mm = _core(given, made_of, row)
    return StringSpec(values, us, computed, assumed, core, core_mm)


def _left_out(values: Mapping[str, float], row: int | None) -> str:
    main = ("tension_n", "length_mm", "pitch_hz")
    missing = [name for name in main if name not in values]
    if "mass_g_m" not in values and not {"diameter_mm", "density_kg_m3"} <= values.keys():
        if "density_kg_m3" in values:
            missing.append("diameter_mm")
        else:
            missing.append("density_kg_m3" if "diameter_mm" in values else "mass_g_m")
    if len(missing) != 1:
        what = "tension_n, length_mm, pitch_hz and mass (diameter_mm with density_kg_m3)"
        raise GaugeInputError("leave_one", field=what, row=row, value=len(missing))
    return missing[0]


def _uncertainties(
    given: Mapping[str, Any], values: Mapping[str, float], made_of: Material | None, row: int | None
) -> tuple[dict[str, float], tuple[str, ...]]:
    us: dict[str, float] = {}
    assumed = []
    for name, value in values.items():
        if not absent(given, f"u_{name}"):
            us[name] = uncertainty(f"u_{name}", given[f"u_{name}"], value, row=row)
            continue
        us[name] = DEFAULT_SHARE[name] * value if name in DEFAULT_SHARE else DEFAULT_U[name]
        if name == "density_kg_m3" and made_of and absent(given, name):
            us[name] = made_of.u_density_kg_m3
        assumed.append(f"u_{name}")
    return us, tuple(assumed)


def uncertainty(field: str, value: object, most: float, *, row: int | None = None) -> float:
    """Return a standard uncertainty: 0 or more, and less than the value itself (``most``)."""
    if value in (0, "0"):
        return 0.0
    return positive(field, value, most=most, row=row)


def _core(
    given: Mapping[str, Any], made_of: Material | None, row: int | None
) -> tuple[Material | None, float | None]:
    """The material and diameter that carry the load: for a wound string, its core's."""
    if absent(given, "core_material") and absent(given, "core_mm"):
        return made_of, None
    # The winding brings mass and no strength: the core alone carries the load and breaks.
    core = material("core_material", given.get("core_material"), row=row)
    if core.wound:
        raise GaugeInputError(
            "unknown", field="core_material", row=row, value=core.name, known=", ".join(PLAIN)
        )
    return core, between("core_mm", given.get("core_mm"), 0.02, MOST["diameter_mm"], row=row)
