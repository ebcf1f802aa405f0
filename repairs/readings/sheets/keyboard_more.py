"""Three short sheets of the keyboard: places of tangents, press of a key, its return."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from django.utils.translation import gettext_lazy as _

from repairs.gauges.keys.falling import DEFAULT_LIMITS
from repairs.gauges.keys.temperament import TEMPERAMENTS
from repairs.gauges.strings.materials import MATERIALS
from repairs.readings.sheets.base import Cell, FigureValue, Plain, Sheet, Text
from repairs.readings.sheets.common import USUAL_KEYS, figure, given_only, present
from repairs.readings.sheets.keyboard_cells import NAMES
from repairs.readings.sheets.strings import MATERIAL_CELL

LENGTH = Cell("length_mm", _("speaking length"), "mm", least=100, most=1000, likely=(300, 430))
SLIDES = ("slide_1_deg", "slide_2_deg", "slide_3_deg")


def tangents_input(values: Plain, _rows: Sequence[Plain]) -> dict[str, Any]:
    """What was typed, as the gauge takes it."""
    return {
        "length_mm": values["length_mm"],
        "temperament": values.get("scl") or values["temperament"],
        "keys": values["keys"],
        **given_only(values, "open_step"),
    }


def tangents_figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """The place of each tangent from the nut: a table to mark out by, nothing to be judged."""
    return [
        FigureValue(
            f"from_nut_mm:{line['key']}",
            _("key %(key)s, from the nut") % {"key": line["key"]},
            line["from_nut_mm"],
            line["u_from_nut_mm"],
            "mm",
            2,
            None,
            False,
        )
        for line in out["keys"]
    ]


TANGENTS = Sheet(
    gauge="tangents",
    label=_("places of the tangents"),
    says=_("Where each tangent stands for a scale, from the nut."),
    cells=(
        LENGTH,
        Cell(
            "temperament",
            _("temperament wanted"),
            kind="choice",
            choices=tuple((key, NAMES[key]) for key in TEMPERAMENTS),
            default="just",
        ),
        Cell("scl", _("or a Scala .scl file, pasted"), kind="long", required=False),
        Cell("keys", _("number of keys"), least=1, most=72, default=str(USUAL_KEYS)),
        Cell(
            "open_step",
            _("step of the scale of the open string"),
            required=False,
            least=0,
            most=72,
        ),
    ),
    to_input=tangents_input,
    figures=tangents_figures,
)


def sharpening_input(values: Plain, _rows: Sequence[Plain]) -> dict[str, Any]:
    """What was typed, as the gauge takes it."""
    return given_only(values, *(cell.key for cell in SHARPENING.cells))


def sharpening_figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """By how much the note rises: a matter of the touch, not judged."""
    label = _("sharpened by pressing by")
    cents, u = out["sharpening_cents"], out["u_sharpening_cents"]
    return [FigureValue("sharpening_cents", label, cents, u, "cents", 1, None, False)]


# Of a wound string the stiffness along it is not known.
PLAIN_CHOICES = tuple(
    (key, words) for key, words in MATERIAL_CELL.choices if MATERIALS[key].youngs_gpa is not None
)
SHARPENING = Sheet(
    gauge="sharpening",
    label=_("sharpening by the press of a key"),
    says=_("By how many cents pressing a key sharpens its note."),
    cells=(
        LENGTH,
        Cell(
            "total_mm",
            _("whole length of the string, tailpiece to peg"),
            "mm",
            least=100,
            most=2000,
            likely=(350, 800),
        ),
        Cell("tension_n", _("tension"), "N", least=1, most=300, likely=(15, 120)),
        Cell("diameter_mm", _("diameter"), "mm", least=0.05, most=5, likely=(0.2, 1.5)),
        replace(MATERIAL_CELL, required=True, default="gut", choices=PLAIN_CHOICES),
        Cell(
            "from_nut_mm",
            _("place of the tangent from the nut"),
            "mm",
            least=1,
            most=999,
            likely=(10, 300),
        ),
        Cell(
            "push_mm",
            _("how far a key pushes the string"),
            "mm",
            least=0.1,
            most=20,
            likely=(0.5, 4),
        ),
    ),
    to_input=sharpening_input,
    figures=sharpening_figures,
)


def return_input(values: Plain, _rows: Sequence[Plain]) -> dict[str, Any]:
    """What was typed, as the gauge takes it: one tilt or more at which the key slid."""
    slides = [values[name] for name in SLIDES if values.get(name) is not None]
    pull = values.get("pull_mn")
    return {
        "mass_g": values["mass_g"],
        "playing_deg": values["playing_deg"],
        **({"slides_deg": slides} if slides else {}),
        **({} if pull is None else {"pulls_mn": [pull]}),
        **given_only(values, "u_angle_deg"),
    }


def return_figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """What brings the key home, and how much steeper it hangs than it must."""
    return present(
        [
            figure(
                out, "return_mn", _("force that brings it home"), "mN", 0,
                DEFAULT_LIMITS["return_mn"],
            ),
            figure(
                out, "room_deg", _("tilt in playing beyond that of sliding"), "°", 1,
                DEFAULT_LIMITS["room_deg"],
            ),
        ]
    )  # fmt: skip


def _slide(place: int, label: Text) -> Cell:
    return Cell(
        SLIDES[place],
        label,
        "°",
        required=False,
        least=0,
        most=85,
        likely=(5, 40),
    )


RETURN = Sheet(
    gauge="key_return",
    label=_("return of a key"),
    says=_("Whether a key falls back by its own weight, and what is left over for damp air."),
    cells=(
        Cell("mass_g", _("mass of the key with its tangents"), "g", least=0.1, most=60,
             likely=(2, 25)),
        _slide(0, _("tilt at which it begins to slide")),
        _slide(1, _("the same, tried again")),
        _slide(2, _("and once more")),
        Cell(
            "pull_mn",
            _("or the pull that just moves it along its level slide"),
            "mN",
            required=False,
            least=0,
            most=5000,
            likely=(5, 300),
        ),
        Cell("playing_deg", _("tilt of the keys in playing"), "°", least=0, most=90,
             likely=(20, 80)),
        Cell("u_angle_deg", _("uncertainty of one tilt"), "°", required=False, least=0, most=20,
             likely=(0.2, 3)),
    ),
    to_input=return_input,
    figures=return_figures,
    limits={
        "return_mn": (_("force that brings it home"), DEFAULT_LIMITS["return_mn"]),
        "room_deg": (_("tilt in playing beyond that of sliding"), DEFAULT_LIMITS["room_deg"]),
    },
)  # fmt: skip
