"""Density, stiffness and radiation of a piece: the gauges asked, their answers made readable."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from repairs.gauges.everything import gauges
from repairs.language.text import rounded
from repairs.wood.models import WoodTest
from repairs.wood.words import NOTES

# Whose shrinkage in the gauges' table is that of a material here. Where none is named, none that
# is of the same species or genus is known, and no density at 12 % is given.
SHRINKS_AS: Mapping[str, str] = {
    "spruce": "norway_spruce",
    "cedar_red": "western_redcedar",
    "maple": "maple",
    "pear": "pear",
    "apple": "apple",
    "walnut": "european_walnut",
    "cherry": "cherry",
    "lime": "lime",
    "mahogany": "mahogany",
    "rosewood_indian": "indian_rosewood",
    "rosewood_brazilian": "brazilian_rosewood",
}


@dataclass(frozen=True)
class Figure:
    """One figure of a test in words: what, how much, ±, unit."""

    key: str
    label: str
    value: str
    u: str
    unit: str


def measure(test: WoodTest, material: str) -> WoodTest:
    """Fill in what the gauges are given and what they make of it.

    Raises GaugeInputError for what a gauge refuses. The tap tone is asked only when there is one.
    """
    block = {
        "mass_g": float(test.mass_g),
        "length_mm": float(test.length_mm),
        "width_mm": float(test.width_mm),
        "thickness_mm": float(test.thickness_mm),
    }
    given: dict[str, dict[str, Any]] = {"density": dict(block)}
    if test.mc_pct is not None:
        given["density"] |= {"mc_pct": float(test.mc_pct)}
        if material in SHRINKS_AS:
            given["density"] |= {"species": SHRINKS_AS[material]}
    if test.tap_f_hz is not None:
        given["tap_tone"] = block | {"f_hz": float(test.tap_f_hz)}
    known = gauges()
    test.given = given
    test.output = {name: known[name].run(data) for name, data in given.items()}
    test.versions = {name: known[name].version for name in given}
    return test


def figures(test: WoodTest) -> list[Figure]:
    """What came out, each with its uncertainty; what was not computed is left out."""
    density, tone = test.output["density"], test.output.get("tap_tone") or {}
    rows = [
        _figure("density", _("density"), density, "density_kg_m3", ("kg/m³", 0)),
        _figure("at_12", _("density at 12 % moisture"), density, "at_12_kg_m3", ("kg/m³", 0)),
        _figure("e", _("stiffness along the grain"), tone, "e_gpa", ("GPa", 2)),
        _figure("radiation", _("radiation ratio"), tone, "radiation", ("m⁴/(kg·s)", 2)),
        _figure("speed", _("speed of sound"), tone, "speed_m_s", ("m/s", 0)),
    ]
    return [row for row in rows if row is not None]


def _figure(
    key: str, label: str, output: Mapping[str, Any], name: str, shown: tuple[str, int]
) -> Figure | None:
    value = output.get(name)
    if value is None:
        return None
    unit, places = shown
    u = output.get(f"u_{name}")
    return Figure(key, label, rounded(value, places), rounded(u, places) if u else "", unit)


def notes(test: WoodTest) -> list[str]:
    """What the gauges remark on the strip, and why a density at 12 % may be lacking."""
    codes = (test.output.get("tap_tone") or {}).get("notes", [])
    said = [str(NOTES.get(code, code)) for code in codes]
    if test.mc_pct is not None and test.output["density"].get("at_12_kg_m3") is None:
        said.append(
            _("How this material shrinks is not known here: no density at 12 % moisture is given.")
        )
    return said


def mass_left_g(test: WoodTest, left_cm3: Decimal) -> float:
    """The mass of what is left, were it as dense as what was weighed."""
    return float(left_cm3) * float(test.output["density"]["density_kg_m3"]) / 1000.0
