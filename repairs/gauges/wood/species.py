"""How much each wood shrinks: data with its source, and the relation between the two tables.

``C = 1 / (3000/S − 20)`` ties the dimensional change coefficient C (per % of moisture, Wood
Handbook Table 13-5) to the total shrinkage S (%, green to ovendry, Table 4-3): it is Eq. 13-3
taken at 10 % moisture. It was checked on 19 species that stand in both tables.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from repairs.gauges.base.checks import between, number
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, choice
from repairs.gauges.base.plain import maybe

VERSION = "species 1"

Direction = Literal["radial", "tangential", "longitudinal"]
DIRECTIONS = ("radial", "tangential", "longitudinal")

HANDBOOK = "Wood Handbook, FPL-GTR-190 (2010), Tables 4-3 and 13-5"
TABLE_13_5 = "Wood Handbook, FPL-GTR-190 (2010), Table 13-5"
HOADLEY = "Hoadley 1998, The Structural Conservation of Panel Paintings, Table 1"
WOOD_DATABASE = "wood-database.com"
MEMORY = "from memory"
# Total shrinkage along the grain is 0.1 to 0.2 % (Wood Handbook, ch. 4): taken as the middle.
S_LONGITUDINAL_PCT = 0.15
U_REL_LONGITUDINAL = 0.05 / math.sqrt(3.0) / S_LONGITUDINAL_PCT
# Between trees of one species shrinkage varies by about 15 % (Wood Handbook, ch. 4, from memory).
U_REL_TREE = 0.15


@dataclass(frozen=True)
class Species:
    """One wood. Shrinkage in % of the green size; C per % moisture; density at 12 % moisture.

    None means that no figure was found; ``from_memory`` names the figures that were recalled and
    not read (``s``, ``c``, ``density``).
    """

    name: str
    s_r_pct: float | None
    s_t_pct: float | None
    s_v_pct: float | None
    c_r: float | None
    c_t: float | None
    density_kg_m3: float | None
    source: str
    from_memory: tuple[str, ...] = ()


_S = Species
_ALL = ("s", "c", "density")
SPECIES: dict[str, Species] = {
    "sitka_spruce": _S("Sitka spruce", 4.3, 7.5, 11.5, 0.00148, 0.00263, 448.0, HANDBOOK, _ALL),
    "engelmann_spruce": _S(
        "Engelmann spruce", 3.8, 7.1, 11.0, 0.00130, 0.00248, 392.0, HANDBOOK, ("s", "c")
    ),
    "red_spruce": _S("red spruce", 3.8, 7.8, 11.8, 0.00130, 0.00274, 448.0, HANDBOOK, _ALL),
    "norway_spruce": _S("Norway spruce", 3.9, 8.2, 12.9, None, None, 405.0, WOOD_DATABASE),
    "spruce": _S("spruce, mean of Picea", 3.6, 7.4, None, None, None, None, HOADLEY),
    "western_redcedar": _S(
        "western redcedar", 2.4, 5.0, 6.8, None, None, None, "Wood Handbook, Table 4-3"
    ),
    "sugar_maple": _S(
        "sugar maple", 4.8, 9.9, 14.7, 0.00165, 0.00353, 705.6, HANDBOOK, ("s", "density")
    ),
    "bigleaf_maple": _S("bigleaf maple", None, None, None, 0.00126, 0.00248, None, TABLE_13_5),
    "red_maple": _S("red maple", None, None, None, 0.00137, 0.00289, None, TABLE_13_5),
    "silver_maple": _S("silver maple", None, None, None, 0.00102, 0.00252, None, TABLE_13_5),
    "maple": _S(
        "maple, mean of Acer (also sycamore maple)",
        4.2, 8.8, None, None, None, 615.0, HOADLEY, ("density",),
    ),
    "black_cherry": _S("black cherry", 3.7, 7.1, 11.5, 0.00126, 0.00248, 560.0, HANDBOOK),
    "cherry": _S("cherry, mean of Prunus", 4.2, 7.8, None, None, None, None, HOADLEY),
    "apple": _S("apple", None, None, None, 0.00205, 0.00376, None, TABLE_13_5),
    "pear": _S("pear", 3.9, 11.3, 13.8, None, None, 690.0, WOOD_DATABASE),
    "black_walnut": _S("black walnut", 5.5, 7.8, 12.8, 0.00190, 0.00274, 616.0, HANDBOOK),
    "european_walnut": _S("European walnut", 4.3, 6.4, None, None, None, None, HOADLEY),
    "american_beech": _S("American beech", 5.5, 11.9, 17.2, 0.00190, 0.00431, None, HANDBOOK),
    "lime": _S("lime (Tilia)", 6.8, 9.5, None, None, None, None, HOADLEY),
    "mahogany": _S(
        "mahogany, true", 3.0, 4.1, 7.8, None, None, None, "Wood Handbook, Table 4-4"
    ),
    "asian_ebony": _S(
        "ebony, Asian black", 5.4, 8.8, 14.4, None, None, 1245.0,
        "wood-database.com after Gérard et al. 2017",
    ),
    "african_ebony": _S(
        "ebony, African", 8.3, 11.2, 19.6, None, None, 955.0, MEMORY, ("s", "density")
    ),
    "indian_rosewood": _S(
        "rosewood, East Indian", 2.7, 5.9, 8.5, None, None, 830.0, MEMORY, ("s", "density")
    ),
    "brazilian_rosewood": _S(
        "rosewood, Brazilian", 2.9, 4.6, 8.5, None, None, 835.0, MEMORY, ("s", "density")
    ),
    "boxwood": _S(
        "boxwood", None, None, None, None, None, None,
        "CAMEO, Museum of Fine Arts Boston: 830–1150 kg/m³; shrinkage not found",
    ),
    "basswood": _S("American basswood", 6.6, 9.3, None, 0.00230, 0.00330, None, HANDBOOK),
    "yellow_birch": _S("yellow birch", 7.3, 9.5, None, 0.00256, 0.00338, None, HANDBOOK),
    "white_ash": _S("white ash", 4.9, 7.8, None, 0.00169, 0.00274, None, HANDBOOK),
    "american_elm": _S("American elm", 4.2, 9.5, None, 0.00144, 0.00338, None, HANDBOOK),
    "chestnut": _S("American chestnut", 3.4, 6.7, None, 0.00116, 0.00234, None, HANDBOOK),
    "american_sycamore": _S(
        "American sycamore", None, None, None, 0.00172, 0.00296, None, TABLE_13_5
    ),
    "black_locust": _S("black locust", None, None, None, 0.00158, 0.00252, None, TABLE_13_5),
}  # fmt: skip


@dataclass(frozen=True)
class Grain:
    """How the wood moves in the direction that was measured.

    ``c_per_pct``: change per mm and % moisture between 6 and 14 %; ``s_pct``: total shrinkage, %;
    ``u_rel``: relative standard uncertainty of both, the spread between trees of one species.
    """

    c_per_pct: float
    s_pct: float
    u_rel: float
    source: str
    from_memory: bool


def coefficient_from_shrinkage(s_pct: float) -> float:
    """Return C per % moisture from total shrinkage in % (0 < S <= 30): ``1/(3000/S − 20)``.

    Source: Wood Handbook, FPL-GTR-190 (2010), Eq. 13-3 at 10 % moisture.
    """
    return 1.0 / (3000.0 / _shrinkage(s_pct) - 20.0)


def shrinkage_from_coefficient(c_per_pct: float) -> float:
    """Return total shrinkage in % from C per % moisture: ``3000/(1/C + 20)``.

    Raises GaugeInputError when C is not in (0, 0.0125], which is S = 30 %. Same source.
    """
    c = number("c_per_pct", c_per_pct)
    if c <= 0:
        raise GaugeInputError("not_positive", field="c_per_pct", value=c)
    return 3000.0 / (1.0 / between("c_per_pct", c, 0.0, 0.0125) + 20.0)


def grain(
    species: str, direction: str | None = None, *, ring_angle_deg: float | None = None
) -> Grain:
    """Return how ``species`` moves radially, tangentially, along the grain, or in between.

    ``ring_angle_deg`` (0 quarter-sawn width, 90 flat-sawn) replaces the direction:
    ``C = C_R cos² + C_T sin²``, the strain of a body that is orthotropic in the plane.
    Raises GaugeInputError for an unknown wood or direction, and for one without figures.
    """
    wood = SPECIES[choice("species", species, SPECIES)]
    if (direction is None) == (ring_angle_deg is None):
        given = "0" if direction is None else "2"
        raise GaugeInputError("needs_one", field="direction, ring_angle_deg", value=given)
    if direction == "longitudinal":
        c = coefficient_from_shrinkage(S_LONGITUDINAL_PCT)
        source = "Wood Handbook, FPL-GTR-190 (2010), ch. 4: 0.1–0.2 % along the grain"
        return Grain(c, S_LONGITUDINAL_PCT, U_REL_LONGITUDINAL, source, False)
    if ring_angle_deg is None:
        word = choice("direction", direction, DIRECTIONS)
        angle = 0.0 if word == "radial" else math.pi / 2.0
    else:
        angle = math.radians(between("ring_angle_deg", ring_angle_deg, 0.0, 90.0))
    return _across(wood, angle)


def _across(wood: Species, angle: float) -> Grain:
    recalled = any(word in wood.from_memory for word in ("s", "c"))
    (c_r, s_r), (c_t, s_t) = (
        _pair(wood, wood.c_r, wood.s_r_pct),
        _pair(wood, wood.c_t, wood.s_t_pct),
    )
    if angle == 0.0:
        return Grain(c_r, s_r, U_REL_TREE, wood.source, recalled)
    if angle == math.pi / 2.0:
        return Grain(c_t, s_t, U_REL_TREE, wood.source, recalled)
    # Most soundboards are not quite on the quarter: at 30° of ring angle a quarter of the
    # tangential movement comes in.
    c = c_r * math.cos(angle) ** 2 + c_t * math.sin(angle) ** 2
    return Grain(c, shrinkage_from_coefficient(c), U_REL_TREE, wood.source, recalled)


def _pair(wood: Species, c: float | None, s_pct: float | None) -> tuple[float, float]:
    """Return (C, S); the printed figure where there is one, else the other by the relation."""
    # Some tables print the shrinkage, some the coefficient: the relation lets each stand for the
    # other.
    if s_pct is not None:
        return coefficient_from_shrinkage(s_pct) if c is None else c, s_pct
    if c is not None:
        return c, shrinkage_from_coefficient(c)
    raise GaugeInputError(
        "no_answer", field="species", why="no shrinkage is known for %(wood)s", wood=wood.name
    )


def _shrinkage(s_pct: float) -> float:
    s = number("shrinkage_pct", s_pct)
    if s <= 0:
        raise GaugeInputError("not_positive", field="shrinkage_pct", value=s)
    return between("shrinkage_pct", s, 0.0, 30.0)


WOOD_INPUTS = {
    "species": "name of the wood: " + ", ".join(SPECIES),
    "direction": "with species: radial (quarter-sawn width), tangential or longitudinal",
    "ring_angle_deg": "instead of direction: 0 quarter-sawn to 90 flat-sawn",
    "c_per_pct": "instead of species: change per mm and % moisture",
    "shrinkage_pct": "instead of species: total shrinkage, %",
}


def grain_of(data: Mapping[str, Any], *, row: int | None = None) -> Grain:
    """Read the wood out of plain data: a species with direction, a coefficient, or a shrinkage."""
    ways = [n for n in ("species", "c_per_pct", "shrinkage_pct") if not absent(data, n)]
    if len(ways) != 1:
        field = "species, c_per_pct, shrinkage_pct"
        raise GaugeInputError("needs_one", field=field, row=row, value=len(ways))
    if ways[0] == "species":
        direction = None if absent(data, "direction") else data["direction"]
        angle = maybe(data, "ring_angle_deg", (0.0, 90.0), row=row)
        return grain(data["species"], direction, ring_angle_deg=angle)
    if ways[0] == "c_per_pct":
        s = shrinkage_from_coefficient(data["c_per_pct"])
        return Grain(float(data["c_per_pct"]), s, U_REL_TREE, "typed", False)
    c = coefficient_from_shrinkage(data["shrinkage_pct"])
    return Grain(c, float(data["shrinkage_pct"]), U_REL_TREE, "typed", False)
