"""Entry sheets of the set-up: the card of one string's voicing, and the card of the dog."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from repairs.gauges.cards.hints import DEFAULT_LIMITS
from repairs.readings.sheets.base import (
    Advice,
    Cell,
    FigureValue,
    Plain,
    Sheet,
    Text,
)
from repairs.readings.sheets.common import figure, given_only, present
from repairs.readings.sheets.order import in_order

Choices = tuple[tuple[str, Text], ...]
YES_NO: Choices = (("yes", _("yes")), ("no", _("no")))
SLOTS: Choices = (("plain", _("plain slot")), ("shim", _("shim")), ("screw", _("screw")))
PAPERS: Choices = (
    ("passes", _("passes through")),
    ("nipped", _("is nipped and pulls free")),
    ("grabbed", _("is grabbed")),
)
COTTONS: Choices = (
    ("none", _("none")),
    ("thin", _("thin")),
    ("medium", _("medium")),
    ("thick", _("thick")),
)
SENSES: Choices = (("with_wheel", _("with the wheel")), ("against_wheel", _("against it")))
STATES: Choices = (("in_place", _("in its place")), ("bunched", _("bunched")))
WEARS: Choices = (("even", _("even")), ("one_edge", _("at one edge")))
WORN_EDGES: Choices = (
    ("nut_side", _("on the side of the nut")),
    ("bridge_side", _("on the side of the bridge")),
)
PRINTS: Choices = (
    ("whole", _("the whole foot")),
    ("toe", _("its toe, under the string")),
    ("heel", _("its heel, at the slot")),
    ("side", _("one side")),
)
FOOT_PAPERS: Choices = (("held", _("is held all round")), ("slips", _("slips out somewhere")))
SOUNDS: Choices = (
    ("speaks", _("speaks")),
    ("chokes", _("chokes")),
    ("whistles", _("whistles")),
    ("scratches", _("scratches")),
)
ONSETS: Choices = (
    ("never", _("never buzzes")),
    ("crisp", _("crisp")),
    ("late", _("late")),
    ("always", _("buzzes always")),
)
TRUTHS = ("on_hook", "pitch_follows_crank", "foot_full")


def _choice(key: str, label: Text, choices: Choices) -> Cell:
    return Cell(key, label, kind="choice", required=False, choices=choices)


def _number(
    key: str,
    label: Text,
    unit: Text,
    least: float,
    most: float,
    likely: tuple[float, float] | None = None,
) -> Cell:
    return Cell(key, label, unit, required=False, least=least, most=most, likely=likely)


def to_input(values: Plain, _rows: Sequence[Plain]) -> dict[str, Any]:
    """What was typed, as the gauge takes it."""
    given = given_only(values, *values)
    return {key: value == "yes" if key in TRUTHS else value for key, value in given.items()}


def advice(_given: Plain, out: Plain) -> list[Advice]:
    """The hints, then what may be tried, what can be undone first; one deed is proposed once."""
    lines: list[Advice] = []
    for hint in out["hints"]:
        lines.append(Advice(f"hint.{hint['code']}"))
        lines += [Advice(f"try.{deed}") for deed in hint["try_this"]]
    once = list({line.code: line for line in lines}.values())
    return in_order(once, "card.consent")


def voicing_figures(_given: Plain, out: Plain) -> list[FigureValue]:
    """The force on the wheel, where lift, length and tension were given."""
    verdict: Mapping[str, Any] = out.get("force_verdict") or {}
    known = {"force_n": out.get("force_n"), "u_force_n": verdict.get("u")}
    return present(
        [figure(known, "force_n", _("force on the wheel"), "N", 2, DEFAULT_LIMITS["force_n"])]
    )


VOICING = Sheet(
    gauge="voicing_card",
    label=_("voicing card of a string"),
    says=_("Paper, cotton, rosin and ear: what a string shows, and what may be tried."),
    needs="may_string",
    cells=(
        Cell("string", _("string"), kind="text", required=True),
        _choice("on_hook", _("it hangs on its hook"), YES_NO),
        _choice("slot", _("its height is set by"), SLOTS),
        _number("shim_mm", _("shim"), "mm", 0, 5, (0.05, 3)),
        _number("screw_turns", _("turns of the screw"), "", -20, 20),
        _choice("paper", _("a strip of paper, without cotton,"), PAPERS),
        _choice("cotton", _("cotton"), COTTONS),
        _choice("cotton_sense", _("wound"), SENSES),
        _choice("cotton_state", _("cotton after some fifty turns"), STATES),
        _choice("cotton_wear", _("wear of the cotton"), WEARS),
        _choice("worn_edge", _("worn there"), WORN_EDGES),
        Cell("rosin_kind", _("rosin"), kind="text", required=False),
        _number("rosin_turns", _("turns of rosin given"), "", 0, 100),
        _choice("sound_open", _("the open string"), SOUNDS),
        _choice("sound_octave", _("at the octave"), SOUNDS),
        _choice("sound_highest", _("at the highest key"), SOUNDS),
        _choice("pitch_follows_crank", _("its pitch follows the crank’s speed"), YES_NO),
        _number("lift_mm", _("lift at the wheel"), "mm", 0, 30, (0.2, 3)),
        _number("from_bridge_mm", _("wheel, from the bridge"), "mm", 1, 500, (10, 60)),
        _number("length_mm", _("speaking length"), "mm", 100, 1500, (250, 800)),
        _number("tension_n", _("tension"), "N", 0.05, 1000, (15, 120)),
    ),
    to_input=to_input,
    figures=voicing_figures,
    advice=advice,
    least_cells=1,
    limits={"force_n": (_("force on the wheel"), DEFAULT_LIMITS["force_n"])},
)


_SHIFT = _("pitch shift when the tirant moves")
_SPEED = _("crank speed at onset")
_PLAY = _("play of its tail in the slot")


def dog_figures(given: Plain, out: Plain) -> list[FigureValue]:
    """What the tirant does to the pitch, the speed and the turns at onset, the tail's play."""
    known, limits = _dog_known(given, out), DEFAULT_LIMITS
    return present(
        [
            figure(known, "pitch_shift_cents", _SHIFT, "cents", 1, limits["pitch_shift_cents"]),
            figure(known, "onset_rpm", _SPEED, "1/min", 0, limits["onset_rpm"]),
            figure(known, "play_mm", _PLAY, "mm", 2, limits["play_mm"]),
            figure(known, "onset_turns", _("tirant, turns from silence to onset"), "", 2),
        ]
    )


def _dog_known(given: Plain, out: Plain) -> dict[str, Any]:
    """The judged figures laid flat, with the turns as typed: they have no limit of their own."""
    shift: Mapping[str, Any] = out.get("pitch_shift_verdict") or {}
    speed: Mapping[str, Any] = out.get("onset_rpm_verdict") or {}
    play: Mapping[str, Any] = out.get("play_verdict") or {}
    return {
        "pitch_shift_cents": shift.get("value"),
        "u_pitch_shift_cents": shift.get("u"),
        "onset_rpm": speed.get("value"),
        "u_onset_rpm": speed.get("u"),
        "play_mm": play.get("value"),
        "u_play_mm": play.get("u"),
        "onset_turns": given.get("tirant_turns"),
    }


DOG = Sheet(
    gauge="dog_card",
    label=_("dog card"),
    says=_("How the dog stands, when it buzzes, and what may be tried."),
    needs="may_string",
    cells=(
        Cell("string", _("string"), kind="text", required=True, default="trompette"),
        _choice("foot_full", _("its foot stands full on the plate"), YES_NO),
        _choice("foot_print", _("chalk on the plate prints"), PRINTS),
        _choice("foot_paper", _("a paper of 0.05 mm under the foot"), FOOT_PAPERS),
        _number("play_mm", _PLAY, "mm", 0, 5, (0, 1.5)),
        _choice("onset", _("it"), ONSETS),
        _number("tirant_turns", _("tirant, turns from silence to onset"), "", 0, 20),
        _number("onset_rpm", _SPEED, _("turns/min"), 1, 400, (20, 250)),
        _number("pitch_shift_cents", _SHIFT, "cents", -200, 200, (-60, 60)),
    ),
    to_input=to_input,
    figures=dog_figures,
    advice=advice,
    least_cells=1,
    limits={
        "pitch_shift_cents": (_SHIFT, DEFAULT_LIMITS["pitch_shift_cents"]),
        "onset_rpm": (_SPEED, DEFAULT_LIMITS["onset_rpm"]),
        "play_mm": (_PLAY, DEFAULT_LIMITS["play_mm"]),
    },
)
