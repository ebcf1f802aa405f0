"""What strings are made of: density, stiffness, breaking stress, and where each figure is from.

A wound string is described by its gut-equivalent diameter: the plain gut string that weighs as
much. Its density is therefore that of gut, and its strength is that of its core.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from repairs.gauges.base.given import choice

# Gut varies by twist, oil and age, by a few per cent; makers' tables hide it in their constants.
GUT_KG_M3 = 1300.0
MEMORY = "from memory"


@dataclass(frozen=True)
class Material:
    """Figures of a string material with standard uncertainties; None where none is known.

    ``sources`` names for each figure where it is from; ``from_memory`` lists the figures that were
    not checked against a source.
    """

    name: str
    density_kg_m3: float
    u_density_kg_m3: float
    youngs_gpa: float | None = None
    u_youngs_gpa: float = 0.0
    breaking_mpa: float | None = None
    u_breaking_mpa: float = 0.0
    wound: bool = False
    sources: Mapping[str, str] = field(default_factory=dict)

    @property
    def from_memory(self) -> tuple[str, ...]:
        """Names of the figures that nobody has checked against a source."""
        return tuple(name for name, source in self.sources.items() if source.startswith(MEMORY))


def _remembered(density: str = MEMORY, youngs: str = MEMORY, breaking: str = MEMORY) -> Any:
    return {"density_kg_m3": density, "youngs_gpa": youngs, "breaking_mpa": breaking}


_HARP = f"{MEMORY}, compare Lynch-Aird and Woodhouse, Materials 11 (2018) 2160"
_WOUND = {"density_kg_m3": "gut-equivalent diameter: the density of gut by definition"}

# Gut breaks at 260 Hz·m (measured 240 to 280): 1300 kg/m³ · (2 · 260)² = 352 MPa; the range taken
# as rectangular gives the uncertainty.
MATERIALS: Mapping[str, Material] = {
    m.name: m
    for m in (
        Material(
            "gut", GUT_KG_M3, 30.0, 6.0, 1.0, 352.0, 31.0,
            sources=_remembered(
                "Satoh's formula f·L·d = 49·√k, which is 1300 kg/m³",
                _HARP,
                "published breaking index of thin gut, 260 Hz·m (240 to 280)",
            ),
        ),
        Material("nylon", 1100.0, 25.0, 5.0, 1.5, 400.0, 60.0, sources=_remembered(youngs=_HARP)),
        Material(
            "fluorocarbon", 1780.0, 20.0, 6.0, 2.0, 600.0, 100.0, sources=_remembered(youngs=_HARP)
        ),
        Material(
            "steel", 7850.0, 30.0, 200.0, 5.0, 2400.0, 250.0,
            sources=_remembered("common tables of steel"),
        ),
        Material("iron", 7800.0, 50.0, 195.0, 8.0, 1000.0, 150.0, sources=_remembered()),
        Material("brass", 8500.0, 100.0, 100.0, 8.0, 800.0, 120.0, sources=_remembered()),
        Material("bronze", 8800.0, 60.0, 110.0, 8.0, 950.0, 150.0, sources=_remembered()),
        Material("silver_wound", GUT_KG_M3, 0.0, wound=True, sources=_WOUND),
        Material("copper_wound", GUT_KG_M3, 0.0, wound=True, sources=_WOUND),
    )
}  # fmt: skip

# Only a round plain string has a stiffness that its diameter tells: a wound one bends like its
# core.
PLAIN = tuple(name for name, m in MATERIALS.items() if not m.wound)


def material(field_name: str, value: object, *, row: int | None = None) -> Material:
    """Return the material of that name; GaugeInputError ``unknown`` lists the known ones."""
    return MATERIALS[choice(field_name, value, MATERIALS, row=row)]
