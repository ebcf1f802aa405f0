"""A plate under its strings: where it sinks and bulges, by a dial on a bridge that stands on ribs.

Read place by place with slack strings, at pitch, and again months later. The bridge of the dial is
never set down twice alike: places over the ribs, which do not move, tell how it stood.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any, Literal

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import absent, choice, limits, only, rows
from repairs.gauges.base.plain import maybe, needed, optional, plain
from repairs.gauges.base.registry import Gauge, Plain, register
from repairs.gauges.base.verdict import Limit, Verdict, judge
from repairs.gauges.wood.breaking import LOAD_INPUTS, Load, load_of

VERSION = "plate 1"

U_READING_MM = 0.02  # a dial of a hundredth on a bridge set down by hand (common practice)
DIAL_ENDS_MM = (-50.0, 50.0)
PLACE_ENDS_MM = (-2000.0, 2000.0)
MOST_PLACES = 200
SURE = 0.95  # that among all places none is said to have moved that has not
# No figure for how far a plate may sink was found: open until the house sets one.
DEFAULT_LIMITS: dict[str, Limit] = {
    "bridge_sink_mm": Limit(None, None, "mm", "no figure found; the house may set one"),
}

Kind = Literal["plate", "edge", "bridge"]
KINDS = ("plate", "edge", "bridge")
SIGNS = {"rises": 1.0, "sinks": -1.0}
Datum = Literal["plane", "offset", "none"]
LEAST_FOR_A_PLANE = 3


@dataclass(frozen=True)
class Place:
    """One place of the grid: dial readings slack, at pitch and months later, mm upwards."""

    name: str
    kind: Kind
    x_mm: float | None
    y_mm: float | None
    slack_mm: float
    pitch_mm: float
    later_mm: float | None


@dataclass(frozen=True)
class Moved:
    """How far a place rose (+) or sank (−): by stringing, and from then until later; mm.

    ``is_sure`` says that it moved, held against all places of the grid at once (Šidák).
    """

    name: str
    kind: Kind
    strung_mm: float
    u_strung_mm: float
    is_sure: bool
    later_mm: float | None
    u_later_mm: float | None
    is_sure_later: bool


@dataclass(frozen=True)
class Plate:
    """A grid with its rigid tilt taken off; names of the places that surely moved the most.

    ``bridge_sink_mm`` is how far the bridge’s place sank (below 0: rose); ``stiffness_n_per_mm``,
    the load on the bridge per mm of that, is None where it did not surely sink.
    """

    datum: Datum
    places: tuple[Moved, ...]
    sank_most: str | None
    rose_most: str | None
    crept_most: str | None
    bridge_sink_mm: float | None
    u_bridge_sink_mm: float | None
    bridge_creep_mm: float | None
    u_bridge_creep_mm: float | None
    verdict: Verdict | None
    load: Load | None
    stiffness_n_per_mm: float | None
    u_stiffness_n_per_mm: float | None
    notes: tuple[str, ...]


def moved(
    places: tuple[Place, ...], u_reading_mm: float = U_READING_MM
) -> tuple[tuple[Moved, ...], Datum]:
    """Return how far each place moved, the dial bridge’s own seat taken off by the edges.

    Three edges or more that are not in a line give a plane by least squares, fewer an offset, none
    nothing. u of a place is ``√2·u·√(1 + h)``, of an edge ``√2·u·√(1 − h)``, with its leverage h
    (Draper & Smith, Applied Regression Analysis, 3rd ed. 1998, ch. 3 and 8).
    """
    sure = NormalDist().inv_cdf((1.0 + SURE ** (1.0 / len(places))) / 2.0)
    strung = np.array([p.pitch_mm - p.slack_mm for p in places])
    later = np.array([math.nan if p.later_mm is None else p.later_mm - p.pitch_mm for p in places])
    design, datum = _design(places)
    is_edge = np.array([p.kind == "edge" for p in places])
    first, lever = _levelled(strung, design, is_edge)
    second, lever_later = _levelled(later, design, is_edge)
    us, us_later = (math.sqrt(2.0) * u_reading_mm * np.sqrt(h) for h in (lever, lever_later))
    return tuple(
        Moved(
            place.name,
            place.kind,
            float(first[i]),
            float(us[i]),
            bool(place.kind != "edge" and abs(first[i]) > sure * us[i]),
            None if math.isnan(second[i]) else float(second[i]),
            None if math.isnan(second[i]) else float(us_later[i]),
            bool(place.kind != "edge" and abs(second[i]) > sure * us_later[i]),
        )
        for i, place in enumerate(places)
    ), datum


def _design(places: tuple[Place, ...]) -> tuple[Floats, Datum]:
    """What the seat of the dial bridge may add at each place: nothing, an offset, or a plane."""
    edges = [p for p in places if p.kind == "edge"]
    if not edges:
        return np.empty((len(places), 0)), "none"
    at = [(p.x_mm, p.y_mm) for p in places]
    if len(edges) < LEAST_FOR_A_PLANE or any(x is None or y is None for x, y in at):
        return np.ones((len(places), 1)), "offset"
    grid = np.array([(1.0, x or 0.0, y or 0.0) for x, y in at])
    on_edge = grid[[p.kind == "edge" for p in places]]
    spread = np.linalg.svd(on_edge[:, 1:] - on_edge[:, 1:].mean(axis=0), compute_uv=False)
    if spread[-1] < 1e-2 * max(spread[0], 1.0):
        return np.ones((len(places), 1)), "offset"
    return grid, "plane"


def _levelled(change: Floats, design: Floats, is_edge: Floats) -> tuple[Floats, Floats]:
    """The change less the seat that the edges show, and the factor of its variance."""
    known = is_edge & np.isfinite(change)
    columns = design.shape[1] if known.sum() >= design.shape[1] else min(1, int(known.sum()))
    if columns == 0:
        return change, np.ones(len(change))
    used = design[:, :columns]
    seat, *_rest = np.linalg.lstsq(used[known], change[known], rcond=None)
    leverage = np.einsum("ij,jk,ik->i", used, np.linalg.pinv(used[known].T @ used[known]), used)
    # An edge that took part in the fit lies nearer to it than one that did not.
    return change - used @ seat, np.where(known, np.maximum(1.0 - leverage, 0.0), 1.0 + leverage)


def plate(
    places: tuple[Place, ...],
    *,
    u_reading_mm: float = U_READING_MM,
    load: Load | None = None,
    limit: Limit | None = DEFAULT_LIMITS["bridge_sink_mm"],
) -> Plate:
    """Return the moved grid with what it says of the bridge; u of one reading, mm."""
    found, datum = moved(places, u_reading_mm)
    bridge = next((one for one in found if one.kind == "bridge"), None)
    sink = u_sink = creep = u_creep = verdict = stiffness = u_stiffness = None
    if bridge is not None:
        sink, u_sink = -bridge.strung_mm, bridge.u_strung_mm
        verdict = judge(sink, u_sink, limit)
        if bridge.later_mm is not None:
            creep, u_creep = -bridge.later_mm, bridge.u_later_mm
        if load is not None and bridge.is_sure and sink > 0:
            stiffness = load.down_n / sink
            u_stiffness = stiffness * math.hypot(load.u_down_n / load.down_n, u_sink / sink)
    return Plate(
        datum,
        found,
        _most(found, -1.0),
        _most(found, 1.0),
        _most_crept(found),
        sink,
        u_sink,
        creep,
        u_creep,
        verdict,
        load,
        stiffness,
        u_stiffness,
        ("no_edges",) if datum == "none" else (),
    )


def _most(found: tuple[Moved, ...], way: float) -> str | None:
    sure = [one for one in found if one.is_sure and way * one.strung_mm > 0]
    return max(sure, key=lambda one: way * one.strung_mm).name if sure else None


def _most_crept(found: tuple[Moved, ...]) -> str | None:
    sure = [one for one in found if one.is_sure_later]
    return max(sure, key=lambda one: abs(one.later_mm or 0.0)).name if sure else None


_PLACE_INPUTS = ("place", "kind", "x_mm", "y_mm", "slack_mm", "pitch_mm", "later_mm")
_INPUTS = {
    "places": "list of places: " + ", ".join(_PLACE_INPUTS) + "; kind is plate (the default), "
    "edge over a rib, or bridge; later_mm optional, x_mm and y_mm too",
    "sign": "optional: whether a greater reading means that the plate rises (the default) or sinks",
    "u_reading_mm": "optional: standard uncertainty of one reading, mm",
    "limits": "optional: house limit bridge_sink_mm",
    **LOAD_INPUTS,
}


def _run(data: Plain) -> dict[str, Any]:
    only(data, _INPUTS)
    up = SIGNS[choice("sign", data["sign"], SIGNS)] if not absent(data, "sign") else 1.0
    given = rows("places", data.get("places"), least=1, most=MOST_PLACES)
    places = tuple(_place(one, row, up) for row, one in enumerate(given, 1))
    _once(places)
    found = plate(
        places,
        u_reading_mm=optional(data, "u_reading_mm", U_READING_MM, (1e-4, 5.0)),
        load=load_of(data),
        limit=limits(data, DEFAULT_LIMITS)["bridge_sink_mm"],
    )
    return dict(plain(found))


def _place(given: Any, row: int, up: float) -> Place:
    only(given, _PLACE_INPUTS, field="places", row=row)
    kind: Kind = "plate"
    if not absent(given, "kind"):
        word = choice("kind", given["kind"], KINDS, row=row)
        kind = "edge" if word == "edge" else "bridge" if word == "bridge" else "plate"
    slack, pitch = (needed(given, n, DIAL_ENDS_MM, row=row) for n in ("slack_mm", "pitch_mm"))
    later = maybe(given, "later_mm", DIAL_ENDS_MM, row=row)
    x, y = (maybe(given, name, PLACE_ENDS_MM, row=row) for name in ("x_mm", "y_mm"))
    if (x is None) != (y is None):
        raise GaugeInputError("missing", field="y_mm" if y is None else "x_mm", row=row)
    name = str(given.get("place") or row)
    return Place(name, kind, x, y, up * slack, up * pitch, None if later is None else up * later)


def _once(places: tuple[Place, ...]) -> None:
    """A place is read once, and there is one bridge to tell of."""
    seen: set[str] = set()
    for row, place in enumerate(places, 1):
        if place.name in seen:
            raise GaugeInputError("twice", field="place", row=row, value=place.name)
        seen.add(place.name)
    bridges = [row for row, place in enumerate(places, 1) if place.kind == "bridge"]
    if len(bridges) > 1:
        raise GaugeInputError("twice", field="kind", row=bridges[1], value="bridge")


register(Gauge("plate", VERSION, "Where a plate sinks and bulges.", _INPUTS, _run))
