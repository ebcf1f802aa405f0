"""The plate’s entry sheet: a grid of dial readings slack, at pitch and later, and its load."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from repairs.charts.plan import Spot, plan_chart
from repairs.charts.svg import Chart
from repairs.gauges.base.verdict import K
from repairs.gauges.wood.plate import DEFAULT_LIMITS
from repairs.language.text import uses_comma
from repairs.readings.sheets.base import Advice, Cell, FigureValue, Plain, Sheet, Text
from repairs.readings.sheets.common import blank_row, figure, given_only, present

EDGE_ROWS, ROWS = 4, 12
CELLS = (
    Cell(
        "sign",
        _("the dial reads more where the plate"),
        kind="choice",
        default="rises",
        choices=(("rises", _("rises")), ("sinks", _("sinks"))),
    ),
    Cell(
        "u_reading_mm",
        _("how well one reading repeats, ±"),
        "mm",
        required=False,
        least=0.001,
        most=1,
        likely=(0.005, 0.1),
        help=_("The same place with the dial’s bridge set down anew; 0.02 when left out."),
    ),
    Cell(
        "tension_n",
        _("tension of the strings on this bridge, together"),
        "N",
        required=False,
        least=0.1,
        most=5000,
        likely=(20, 900),
    ),
    Cell(
        "before_deg",
        _("break angle before the bridge, downwards"),
        "°",
        required=False,
        least=-10,
        most=60,
        likely=(0, 20),
    ),
    Cell(
        "after_deg",
        _("break angle behind the bridge, downwards"),
        "°",
        required=False,
        least=-10,
        most=60,
        likely=(0, 35),
    ),
    Cell(
        "side_deg",
        _("the strings turn sideways at the bridge by"),
        "°",
        required=False,
        least=0,
        most=45,
        likely=(0, 15),
    ),
    Cell(
        "side_to",
        _("behind the bridge they turn towards"),
        kind="choice",
        required=False,
        choices=(("treble", _("the treble side")), ("bass", _("the bass side"))),
    ),
)
# The smallest plate that a dial is carried over is a hand wide; written in m or cm it looks less.
PLACE: dict[str, Any] = {
    "required": False,
    "least": -2000,
    "most": 2000,
    "likely_span": (60, 1200),
}
COLUMNS = (
    Cell("place", _("place"), kind="text", index=True),
    Cell(
        "kind",
        _("it lies"),
        kind="choice",
        required=False,
        index=True,
        choices=(
            ("plate", _("on the plate")),
            ("edge", _("over a rib")),
            ("bridge", _("at the bridge’s foot")),
        ),
    ),
    Cell("x_mm", _("along"), "mm", likely=(-900, 900), **PLACE),
    Cell("y_mm", _("across"), "mm", likely=(-500, 500), **PLACE),
    Cell("slack_mm", _("dial, strings slack"), "mm", least=-50, most=50, likely=(-15, 15)),
    Cell("pitch_mm", _("dial, at pitch"), "mm", least=-50, most=50, likely=(-15, 15)),
    Cell(
        "later_mm", _("dial, months later"), "mm",
        required=False, least=-50, most=50, likely=(-15, 15),
    ),
)  # fmt: skip


def first_rows(_case: Any) -> list[dict[str, str]]:
    """Four places over the ribs, the bridge, and a grid between them."""
    kinds = ["edge"] * EDGE_ROWS + ["bridge"] + ["plate"] * (ROWS - EDGE_ROWS - 1)
    return [
        blank_row(COLUMNS, place=str(number), kind=kind) for number, kind in enumerate(kinds, 1)
    ]


def to_input(values: Plain, rows: Sequence[Plain]) -> dict[str, Any]:
    """What was typed, as the gauge takes it."""
    places = [given_only(row, *row) for row in rows]
    return {**given_only(values, *values), "places": places}


def figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """The bridge and its load, then each place."""
    load = out["load"] or {}
    limit = DEFAULT_LIMITS["bridge_sink_mm"]
    whole = [
        figure(out, "bridge_sink_mm", _("the bridge’s place sank by"), "mm", 2, limit),
        figure(out, "bridge_creep_mm", _("and since then by"), "mm", 2),
        figure(load, "down_n", _("load on the bridge"), "N", 0),
        figure(load, "side_n", _("push to the side"), "N", 1),
        figure(out, "stiffness_n_per_mm", _("load for each mm that it sinks"), "N/mm", 0),
    ]
    return present(whole) + list(_places(out))


def _places(out: Plain) -> Iterator[FigureValue]:
    strung, later = _("place %(place)s, by stringing, + up"), _("place %(place)s, since then, + up")
    for one in out["places"]:
        for key, label in (("strung_mm", strung), ("later_mm", later)):
            if one[key] is not None:
                said = label % {"place": one["name"]}
                name = f"{key}:{one['name']}"
                yield FigureValue(name, said, one[key], one[f"u_{key}"], "mm", 2, None)


def advice(_given: Plain, out: Plain) -> list[Advice]:
    """Which places moved and which way, what that asks for, and to which side the strings push."""
    by_name = {one["name"]: one for one in out["places"]}
    lines = []
    for key, code, what in (
        ("sank_most", "plate.sank", "strung_mm"),
        ("rose_most", "plate.rose", "strung_mm"),
    ):
        if out[key] is not None:
            lines += _said(code, out[key], by_name[out[key]][what], by_name[out[key]][f"u_{what}"])
    crept = by_name.get(out["crept_most"] or "")
    if crept is not None:
        code = "plate.crept_down" if crept["later_mm"] < 0 else "plate.crept_up"
        lines += _said(code, crept["name"], crept["later_mm"], crept["u_later_mm"])
    bridge = next((one for one in out["places"] if one["kind"] == "bridge"), None)
    if bridge is not None and (bridge["is_sure"] or bridge["is_sure_later"]):
        lines.append(Advice("plate.heights"))
    if "no_edges" in out["notes"]:
        lines.append(Advice("plate.no_edges"))
    return [*(lines or [Advice("plate.still")]), *_sideways(out["load"])]


def _said(code: str, place: str, move: float, u: float) -> list[Advice]:
    """A move in words; one below the last digit is not said."""
    if round(abs(move), 2) == 0.0:
        return []
    return [Advice(code, place, details={"far": float(abs(move)), "doubt": float(u), "places": 2})]


def _sideways(load: Plain | None) -> list[Advice]:
    if not load or load["side_to"] is None or load["side_n"] <= K * load["u_side_n"]:
        return []
    said = {"far": float(load["side_n"]), "doubt": float(load["u_side_n"]), "places": 1}
    return [Advice(f"plate.side_{load['side_to']}", details=said)]


def warnings(out: Plain) -> list[Text]:
    """How the seat of the dial’s bridge was taken off."""
    edges = sum(one["kind"] == "edge" for one in out["places"])
    if out["datum"] != "offset":
        return []
    words = ngettext(
        "With %(count)s place over the ribs only the height of the dial’s bridge is taken off, "
        "not its tilt.",
        "With these %(count)s places over the ribs only the height of the dial’s bridge is taken "
        "off, not its tilt: give three that are not in a line, with their along and across.",
        edges,
    )
    return [words % {"count": edges}]


def chart(given: Plain, out: Plain, _before: Plain | None, _was: Plain | None) -> Chart | None:
    """The plate from above; none where it is not known where the places lie."""
    rows = given["places"]
    if any(row.get("x_mm") is None or row.get("y_mm") is None for row in rows):
        return None
    spots = [
        Spot(
            one["name"], row["x_mm"], row["y_mm"], one["strung_mm"], one["is_sure"],
            one["kind"] == "edge",
        )
        for row, one in zip(rows, out["places"], strict=True)
    ]  # fmt: skip
    sure = [one for one in out["places"] if one["is_sure"]]
    alt = gettext("Plate from above: %(count)s of %(all)s places surely moved") % {
        "count": len(sure),
        "all": len(spots),
    }
    return plan_chart(spots, alt=alt, comma=uses_comma())


SHEET = Sheet(
    gauge="plate",
    label=_("plate under its strings"),
    says=_("Where the soundboard sinks and bulges by stringing and over months, and its load."),
    cells=CELLS,
    columns=COLUMNS,
    to_input=to_input,
    figures=figures,
    advice=advice,
    warnings=warnings,
    chart=chart,
    first_rows=first_rows,
    least_rows=1,
    most_rows=200,
    limits={
        "bridge_sink_mm": (_("sinking of the bridge’s place"), DEFAULT_LIMITS["bridge_sink_mm"])
    },
)
