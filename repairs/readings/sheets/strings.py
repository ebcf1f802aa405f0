"""The string set's entry sheet: lengths, pitches, diameters → tensions and loads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.charts.bars import Bar, lying_bars
from repairs.charts.svg import Chart
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.verdict import Limit
from repairs.gauges.strings.materials import MATERIALS
from repairs.gauges.strings.stringset import DEFAULT_LIMITS, UNSET
from repairs.language.text import rounded, uses_comma
from repairs.readings.pitches import FORK_CELL, pitch_cell
from repairs.readings.sheets.base import Advice, Cell, FigureValue, Plain, Sheet, Text
from repairs.readings.sheets.common import blank_row, given_only

MATERIAL_NAMES: Mapping[str, Text] = {
    "gut": _("gut"),
    "nylon": _("nylon"),
    "fluorocarbon": _("fluorocarbon"),
    "steel": _("steel"),
    "iron": _("iron"),
    "brass": _("brass"),
    "bronze": _("bronze"),
    "silver_wound": _("wound with silver"),
    "copper_wound": _("wound with copper"),
}
MATERIAL_CELL = Cell(
    "material",
    _("material"),
    kind="choice",
    required=False,
    choices=tuple((key, MATERIAL_NAMES[key]) for key in MATERIALS),
)
COLUMNS = (
    Cell("name", _("string"), kind="text", index=True),
    Cell("length_mm", _("speaking length"), "mm", least=20, most=2000, likely=(150, 700)),
    pitch_cell(_("pitch"), (40, 1200)),
    Cell("diameter_mm", _("diameter"), "mm", least=0.05, most=8, likely=(0.15, 4)),
    MATERIAL_CELL,
    Cell(
        "density_kg_m3",
        _("or density"),
        "kg/m³",
        required=False,
        least=500,
        most=20000,
        likely=(900, 9000),
    ),
    Cell(
        "break_deg",
        _("break angle at the bridge"),
        "°",
        required=False,
        least=0,
        most=120,
        likely=(2, 40),
    ),
    Cell(
        "wanted_n",
        _("wanted tension"),
        "N",
        required=False,
        least=0.05,
        most=1000,
        likely=(15, 120),
    ),
)


def to_input(_values: Plain, rows: Sequence[Plain]) -> dict[str, Any]:
    """What was typed, as the gauge takes it."""
    names = [column.key for column in COLUMNS]
    for number, row in enumerate(rows, 1):
        if not row["material"] and row["density_kg_m3"] is None:
            raise GaugeInputError("missing", field="material", row=number)
    return {"strings": [given_only(row, *names) for row in rows]}


def figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """The figures to be judged, in the order of the page."""
    rows = [_newtons(out, "load_n", _("load of all strings along the body"))]
    for bridge in out["bridges"]:
        rows.append(_newtons(bridge, "downforce_n", _("force on the bridge"), bridge["bridge"]))
    for string in out["strings"]:
        tension = _("tension of %(string)s") % {"string": string["name"]}
        rows.append(_newtons(string, "tension_n", tension, string["name"]))
    rows += [room for string in out["strings"] for room in _room_to_breaking(string)]
    return rows + [stiff for string in out["strings"] for stiff in _stiffness(string)]


def _newtons(row: Plain, name: str, label: Text, of: str = "") -> FigureValue:
    """A force of the row with its uncertainty; ``of`` tells it from its sisters. No limit."""
    key = f"{name}:{of}" if of else name
    return FigureValue(key, label, row[name], row[f"u_{name}"], "N", 1, None)


def _room_to_breaking(string: Mapping[str, Any]) -> list[FigureValue]:
    """How many semitones a string stands below its breaking pitch, where its stuff is known."""
    room = string.get("semitones_to_breaking")
    if room is None:
        return []
    label = _("%(string)s: semitones below breaking") % {"string": string["name"]}
    return [
        FigureValue(
            f"semitones_to_breaking:{string['name']}",
            label,
            room,
            string["u_semitones_to_breaking"],
            "",
            1,
            DEFAULT_LIMITS["semitones_to_breaking"],
        )
    ]


def _stiffness(string: Mapping[str, Any]) -> list[FigureValue]:
    """How sharp a high partial of a plain string stands: a stiff one speaks late."""
    stiff = string.get("stiff")
    if stiff is None:
        return []
    label = _("%(string)s: its partial %(partial)s is sharp by") % {
        "string": string["name"],
        "partial": stiff["partial"],
    }
    key = f"sharp_cents:{string['name']}"
    return [FigureValue(key, label, stiff["sharp_cents"], stiff["u_sharp_cents"], "cents", 1, None)]


def advice(_given: Plain, out: Plain) -> list[Advice]:
    """Of each string whose tension is wanted otherwise, the size that gives it."""
    return [_size(string) for string in out["strings"] if string.get("wanted")]


def _size(string: Mapping[str, Any]) -> Advice:
    wanted = string["wanted"]
    size = wanted["diameter_mm"]
    sizes = sorted(wanted["suggestions"], key=lambda s: abs(s["diameter_mm"] - size))
    first, second = sorted(sizes[:2], key=lambda s: s["diameter_mm"])
    return Advice(
        "strings.size",
        string["name"],
        size,
        wanted["u_diameter_mm"],
        "mm",
        details={
            "wanted": wanted["tension_n"],
            "thin": first["diameter_mm"],
            "thin_n": first["tension_n"],
            "thick": second["diameter_mm"],
            "thick_n": second["tension_n"],
        },
    )


def chart(_given: Plain, out: Plain, _before: Plain | None, was: Plain | None) -> Chart:
    """The picture of the reading, with the earlier one under it."""
    old = {s["name"]: s["tension_n"] for s in was["strings"]} if was else {}
    bars = [
        Bar(s["name"], s["tension_n"], s["u_tension_n"], before=old.get(s["name"]))
        for s in out["strings"]
    ]
    alt = gettext("Tension of each string; together %(load)s N along the body") % {
        "load": rounded(out["load_n"], 0)
    }
    return lying_bars(bars, unit="N", alt=alt, before=gettext("before"), comma=uses_comma())


def first_rows(case: Case) -> list[dict[str, str]]:
    """The rows of an empty sheet, named as this instrument asks."""
    names = [str(string) for string in case.instrument.pattern.strings]
    return [blank_row(COLUMNS, name=name) for name in names or [""] * 4]


SHEET = Sheet(
    gauge="string_set",
    label=_("string set"),
    says=_("Tension of each string, the load on body and bridge, sizes for a wanted tension."),
    cells=(FORK_CELL,),
    columns=COLUMNS,
    to_input=to_input,
    figures=figures,
    advice=advice,
    chart=chart,
    first_rows=first_rows,
    least_rows=1,
    most_rows=40,
    limits={
        "semitones_to_breaking": (
            _("semitones below breaking"),
            DEFAULT_LIMITS["semitones_to_breaking"],
        ),
        "load_n": (_("load of all strings along the body"), DEFAULT_LIMITS["load_n"]),
        "downforce_n": (_("force on the bridge"), DEFAULT_LIMITS["downforce_n"]),
        "sharp_cents": (_("sharpness of a high partial"), Limit(None, None, "cents", UNSET)),
        "tension_n": (_("tension of a string"), Limit(None, None, "N", UNSET)),
    },
)
