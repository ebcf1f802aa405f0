"""Entry sheets of wood: tap tone of a strip, a crack's closing, cleats across it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from django.utils.translation import gettext_lazy as _

from repairs.gauges.wood import joint_limits as joints
from repairs.readings.pitches import NOTES_HELP
from repairs.readings.sheets.base import Advice, Cell, FigureValue, Plain, Sheet, Text
from repairs.readings.sheets.common import figure, given_only, present
from repairs.readings.sheets.species import species_choices

DIRECTIONS: tuple[tuple[str, Text], ...] = (
    ("radial", _("radial: quarter-sawn width")),
    ("tangential", _("tangential: flat-sawn width")),
)
PRESSING = "would_press"
AFTER = ("holds", "opened", "look_closer")
REPAIRS: tuple[tuple[str, Text], ...] = (
    ("glued", _("glued")),
    ("splinted", _("filled with a splint")),
)
PRESSED: tuple[tuple[str, Text], ...] = (
    ("light", _("light wood: spruce, lime, poplar")),
    ("dense", _("dense wood: maple, walnut, ebony")),
    ("contact", _("a crack in a plate: contact only")),
)
FACES: tuple[tuple[str, Text], ...] = (
    ("one", _("one face; the other is varnished")),
    ("both", _("both faces")),
)
# How long the wood takes to follow the air.
SETTLING_CELLS = (
    Cell(
        "thickness_mm",
        _("thickness of that wood"),
        "mm",
        required=False,
        least=0.5,
        most=300,
        likely=(1.5, 60),
        help=_("It says how long the wood takes to follow the air."),
    ),
    Cell(
        "faces",
        _("the air reaches"),
        kind="choice",
        required=False,
        choices=FACES,
        default="one",
    ),
)
NOTES = {
    "thick_for_its_length": _("Thick for its length: shear makes the stiffness come out low."),
    "wide_for_its_length": _("Wide for its length: it does not bend as a strip."),
    "taller_than_wide": _("Taller than wide: was thickness taken for width?"),
    "never_closes": _("At no humidity does it close by itself."),
    "closes_only_damp": _("It closes only in damp air: mould and loosened glue lie there."),
    PRESSING: _("At its home it would press: glued closed there, it stays under pressure."),
    "pulls_at_home": _("Its home is drier than the air it was read in: the joint is pulled at."),
    "dry_it": _("It closes as the air dries: check gap and direction again."),
    "bar_instead": _("A bar crosses there and holds instead of a cleat."),
    "short": _("Shorter than two cleats: one in its middle holds it."),
    "closer": _("The cleats stand closer than usual."),
}


def _notes(out: Plain) -> list[Text]:
    return [NOTES[code] for code in out["notes"]]


def tap_figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """What the tone of a strip tells of its wood."""
    return present(
        [
            figure(out, "density_kg_m3", _("density"), "kg/m³", 0),
            figure(out, "e_gpa", _("stiffness along the grain"), "GPa", 2),
            figure(out, "speed_m_s", _("speed of sound"), "m/s", 0),
            figure(out, "radiation", _("sound radiation"), "m⁴/(kg·s)", 1),
            figure(out, "node_mm", _("hold it from each end at"), "mm", 0),
        ]
    )


def _given(values: Plain, _rows: Sequence[Plain]) -> dict[str, Any]:
    return given_only(values, *values)


TAP = Sheet(
    gauge="tap_tone",
    label=_("tap tone of a strip"),
    says=_("Density, stiffness and sound radiation of a strip held at its nodes."),
    cells=(
        Cell("mass_g", _("mass"), "g", least=0.1, most=50000),
        Cell("length_mm", _("length"), "mm", least=10, most=3000),
        Cell("width_mm", _("width"), "mm", least=1, most=1000),
        Cell("thickness_mm", _("thickness"), "mm", least=0.3, most=100),
        Cell(
            "f_hz",
            _("first tone when tapped in its middle"),
            "Hz",
            least=5,
            most=20000,
            is_pitch=True,
            help=NOTES_HELP,
        ),
    ),
    to_input=_given,
    figures=tap_figures,
    warnings=_notes,
)


def crack_figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """How far the crack closes, what is left, and the splint that would fill it."""
    left = figure(
        out,
        "left_mm",
        _("left open at its home"),
        "mm",
        2,
        joints.DEFAULT_LIMITS["glue_line_mm"],
    )
    if left is not None and PRESSING in out["notes"]:
        # The limit says how far a crack may stay open, nothing of edges that press.
        left = replace(left, is_judged=False)
    closing, wait = out["closing"], out.get("settling") or {}
    return present(
        [
            figure(closing, "closing_mm", _("closes by"), "mm", 2),
            left,
            figure(closing, "rh_to_close_pct", _("humidity at which it closes"), "%", 0),
            figure(out, "splint_mm", _("width of a splint"), "mm", 2),
            figure(wait, "days", _("days until it has settled by 95 %%") % (), "", 1),
        ]
    )


def crack_advice(_given: Plain, out: Plain) -> list[Advice]:
    """Glue, splint or wait, and how long; then the order of the work. After it: does it hold?"""
    deed, wait = out["deed"], out.get("settling")
    if deed in AFTER:
        return [Advice(f"crack.{deed}"), *_again(wait)]
    if deed == "bring_to_target_and_measure_again":
        return [Advice(f"crack.{deed}"), *_again(wait), Advice("crack.order")]
    return [Advice(f"crack.{deed}"), Advice("crack.order")]


def _again(wait: Plain | None) -> list[Advice]:
    """When to read again: not before the wood has followed the air."""
    return [Advice("crack.wait", details=wait_days(wait))] if wait else []


def wait_days(wait: Plain) -> dict[str, str]:
    """At least and at most how many whole days to wait."""
    return {"least": whole_days(wait["least_days"]), "most": whole_days(wait["most_days"])}


def whole_days(days: float) -> str:
    """Days as one waits: whole ones, at least one."""
    return str(max(1, math.ceil(days - 1e-9)))


CRACK = Sheet(
    gauge="crack_joint",
    label=_("crack: glue or splint"),
    says=_("How far a crack closes at its home’s humidity, and what that asks for."),
    cells=(
        Cell("gap_mm", _("width of the crack now"), "mm", least=0, most=20, likely=(0.02, 3)),
        Cell(
            "width_mm",
            _("width of the wood that moves"),
            "mm",
            least=1,
            most=2000,
            likely=(40, 500),
        ),
        Cell(
            "species",
            _("wood"),
            kind="choice",
            default="norway_spruce",
            choices=species_choices(),
        ),
        Cell("direction", _("its width is"), kind="choice", choices=DIRECTIONS, default="radial"),
        Cell("t_c", _("temperature"), "°C", least=-10, most=50, likely=(10, 30), default="20"),
        Cell(
            "from_rh_pct",
            _("humidity in which it has settled"),
            "%",
            least=1,
            most=99,
            likely=(20, 80),
        ),
        Cell("to_rh_pct", _("humidity of its home"), "%", least=1, most=99, likely=(35, 65)),
        *SETTLING_CELLS,
        Cell(
            "repair",
            _("it has been repaired"),
            kind="choice",
            required=False,
            choices=REPAIRS,
            help=_("Then what is open beside the glue is read, and nothing is reckoned off."),
        ),
    ),
    to_input=_given,
    figures=crack_figures,
    advice=crack_advice,
    warnings=_notes,
    limits={"left_mm": (_("left open at its home"), joints.DEFAULT_LIMITS["glue_line_mm"])},
)


def cleat_figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """How many cleats, and how far apart."""
    return present(
        [
            figure(out, "count", _("number of cleats"), "", 0),
            figure(out, "spacing_mm", _("from one to the next"), "mm", 0),
        ]
    )


def cleat_advice(_given: Plain, out: Plain) -> list[Advice]:
    """Where the cleats stand, and how their grain runs."""
    places = ", ".join(f"{place:.0f}" for place in out["places_mm"])
    return [Advice("cleats.places", places), Advice("cleats.grain")]


CLEATS = Sheet(
    gauge="cleats",
    label=_("cleats across a crack"),
    says=_("How many cleats a crack asks for, and where."),
    cells=(
        Cell("crack_mm", _("length of the crack"), "mm", least=1, most=2000, likely=(10, 500)),
        Cell(
            "size_mm", _("size of a cleat"), "mm", required=False, least=2, most=40, likely=(8, 12)
        ),
        Cell(
            "thickness_mm",
            _("its thickness"),
            "mm",
            required=False,
            least=0.5,
            most=8,
            likely=(1.5, 2.3),
        ),
    ),
    to_input=_given,
    figures=cleat_figures,
    advice=cleat_advice,
    warnings=_notes,
)


def clamp_figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """The force for the area, from the least pressure to the most, and the clamps for it."""
    return present(
        [
            figure(out, "force_low_n", _("force, at least"), "N", 0),
            figure(out, "force_high_n", _("force, at most"), "N", 0),
            figure(out, "force_low_kgf", _("the same as a weight, at least"), "kg", 1),
            figure(out, "force_high_kgf", _("the same as a weight, at most"), "kg", 1),
            figure(out, "clamps", _("clamps"), "", 0),
        ]
    )


def clamp_advice(given: Plain, out: Plain) -> list[Advice]:
    """How many clamps; a crack is only brought to contact."""
    if given.get("wood") == "contact":
        return [Advice("clamp.contact")]
    if out["clamps"] is None:
        return [Advice("clamp.bead")]
    return [Advice("clamp.spread", details={"count": out["clamps"]}), Advice("clamp.bead")]


CLAMP = Sheet(
    gauge="clamp",
    label=_("clamping force"),
    says=_("How much force a glued area asks for, and how many clamps give it."),
    cells=(
        Cell(
            "area_mm2",
            _("glued area"),
            "mm²",
            least=1,
            most=1_000_000,
            likely=(50, 50_000),
            help=_("Length times width, both in mm."),
        ),
        Cell("wood", _("what is glued"), kind="choice", choices=PRESSED, default="light"),
        Cell(
            "clamp_n",
            _("force of one clamp"),
            "N",
            required=False,
            least=1,
            most=50_000,
            likely=(20, 3000),
            help=_("Pressed on kitchen scales: 1 kg is 9.8 N."),
        ),
    ),
    to_input=_given,
    figures=clamp_figures,
    advice=clamp_advice,
)
