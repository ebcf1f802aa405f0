"""A turned tangent: which sense, as the instrument is held; digits that can be followed."""

from __future__ import annotations

import pytest
from django.utils import translation

from repairs.readings.key_words import places_of, sense_of, with_sense
from repairs.readings.sheets.base import Advice
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.words import advice_words

TURN = Advice("keys.turn", "second, 7", 0.52, 0.11, "mm", details={"turn": 12.0, "cents": -5.0})


def said(line, language="en"):
    with translation.override(language):
        return advice_words(line).replace("\u00a0", " ").replace("\u202f", " ")


@pytest.mark.parametrize(
    ("turn", "left_handed", "sense"),
    [(12.0, False, -1), (-12.0, False, 1), (12.0, True, 1), (-12.0, True, -1), (0.0, False, 0)],
)
def test_towards_the_wheel_is_anticlockwise_from_above_on_a_right_handed_one(
    turn, left_handed, sense
):
    assert sense_of("keys.turn", {"turn": turn}, left_handed=left_handed) == sense
    # The drawings say the same: act/tangent_to_wheel.


def test_a_turn_across_the_string_has_its_sense_too():
    for end, sense in (("to_bridge", -1), ("to_head", 1)):
        code = f"action.nearer_{end}.tangent"
        assert sense_of(code, {"turn": 8.0}, left_handed=False) == sense
    assert sense_of("action.nearer.tangent", {"turn": None}, left_handed=False) == 0


def test_the_sense_stands_in_the_sentence_of_both_languages():
    line = with_sense(TURN, left_handed=False)

    assert "by 12°" in said(line) and "anticlockwise, seen from above" in said(line)
    assert "contraire des aiguilles" in said(line, "fr")
    mirrored = said(with_sense(TURN, left_handed=True))
    assert "That is clockwise" in mirrored
    assert "clockwise" not in said(TURN)


@pytest.mark.parametrize(
    ("u", "unit", "places"),
    [(0.11, "mm", 2), (0.3, "mm", 1), (None, "mm", 2), (0.7, "cents", 1), (4.0, "cents", 0)],
)
def test_a_figure_is_said_to_its_doubt(u, unit, places):
    assert places_of(u, unit) == places


def test_no_sentence_of_the_keyboard_has_three_decimals():
    assert "0.52 ± 0.11 mm" in said(TURN)
    far = Advice("keys.move_bridge", "first", -2.4445, 0.4, "mm")
    assert "2.4 ± 0.4 mm" in said(far)
    shim = Advice("keys.shim", "7", 0.2567, None, "mm")
    assert "0.26 mm" in said(shim)


def test_room_and_one_piece_reach_the_gauge():
    sheet = SHEETS["correction"]
    blank = {column.key: None for column in sheet.columns} | {"fixed_double": ""}
    rows = [
        {**blank, "key": 1.0, "first": 2.0, "room_mm": 1.8, "fixed_double": "one_piece"},
        {**blank, "key": 2.0, "first": 1.0},
    ]
    values = {cell.key: None for cell in sheet.cells} | {
        "length_mm": 345.0, "reading": "off_wanted", "temperament": "just",
    }  # fmt: skip

    given = sheet.to_input(values, rows)

    assert given["room_mm"] == [1.8, None] and given["fixed_double"] == [1]
    seldom = {column.key for column in sheet.columns if column.seldom}
    assert {"room_mm", "fixed_double"} <= seldom


def test_a_gap_below_the_usual_is_named():
    line = Advice(
        "action.nearer.tangent", "7", 0.6, 0.1, "mm",
        details={"why": "clear_other", "turn": None, "string": 2, "gap_left": 0.7,
                 "gap_least": 1.0},
    )  # fmt: skip

    assert "0.70 mm only, less than the usual 1.0 mm" in said(line)
    assert "0,70 mm" in said(line, "fr")
    assert "only" not in said(Advice(line.code, "7", 0.6, 0.1, "mm", details={"why": "together"}))
