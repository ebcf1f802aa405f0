"""The table of a finishing check as it is read: what stands for what, what is refused and where."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from repairs.gauges.action.changes import Flag
from repairs.gauges.action.gauge import DEFAULT_LIMITS
from repairs.gauges.action.sheet import read_sheet
from repairs.gauges.action.side import Lid, Wall, Wheel
from repairs.gauges.action.tables import check_rising, each, names_of, one_each
from repairs.gauges.base.errors import GaugeInputError
from tests.gauges.action.boxes import STRING, box, key, run

WHEEL = {"from_bridge_mm": 30, "rim_height_mm": 27}


def sheet(data):
    return read_sheet(data, DEFAULT_LIMITS)


def refusal_of(change):
    with pytest.raises(GaugeInputError) as refused:
        sheet({**box([key(1, 22), key(2, 43)]), **change})
    return refused.value


def test_what_is_assumed_where_nothing_is_typed():
    read = sheet(box([key(3, 22)]))

    plan, side = read.plan, read.side
    assert plan.press_mm == 1.0
    assert (plan.u_gap_mm, plan.u_press_mm, plan.u_amplitude_mm) == (0.03, 0.2, 0.2)
    assert (plan.u_spacing_mm, side.u_height_mm) == (0.1, 0.1)
    assert plan.diameter_mm.tolist() == side.diameter_mm.tolist() == [0.8, 0.8]
    assert plan.amplitude_mm.tolist() == [0.5, 0.5]
    assert (plan.keys, side.keys) == ((3,), (3,))
    for unknown in (plan.back_mm, plan.travel_mm, side.shank_mm, side.flag_low_mm):
        assert np.isnan(unknown).all()
    assert np.isnan(side.flag_high_mm).all() and np.isnan(plan.spacing_mm).all()
    assert (side.walls, side.lid, side.wheel, read.keys) == ((), None, None, ())
    alike = Flag(1.5, sounding_mm=plan.length_mm - 22)
    assert read.flags == {(1, 3): alike, (2, 3): alike}


def typed():
    """Two strings and two keys with a figure of everything, each another one."""
    one = {**STRING, "diameter_mm": 0.7, "amplitude_mm": 0.4}
    keys = [
        key(2, 22, (1.2, None), flag_low_mm=[18, 19], flag_high_mm=30, offset_mm=[3, ""],
            turn_deg=[-20, 10], thickness_mm=2, shank_height_mm=15, travel_mm=4),
        key(5, 43, (1.3, 1.4)),
    ]  # fmt: skip
    data = box(
        keys, press_mm=0.8, u_gap_mm=0.01, u_height_mm=0.02, u_press_mm=0.03, u_amplitude_mm=0.04,
        u_spacing_mm=0.05, walls=[{"at_mm": 5, "height_mm": 15}, {"name": "b", "at_mm": 9,
        "height_mm": 16}], lid={"from_mm": 1, "to_mm": 320, "height_mm": 35},
        wheel={"from_bridge_mm": 30, "rim_height_mm": 27},
    )  # fmt: skip
    data["strings"] = [one, {"nut_height_mm": 21, "bridge_height_mm": 29}]
    return sheet(data)


def test_what_is_typed_stands_where_it_belongs():
    read = typed()

    plan, side = read.plan, read.side
    assert (plan.length_mm, plan.press_mm, plan.u_gap_mm, plan.u_press_mm) == (400, 0.8, 0.01, 0.03)
    assert (plan.u_amplitude_mm, plan.u_spacing_mm, side.u_height_mm) == (0.04, 0.05, 0.02)
    assert plan.diameter_mm.tolist() == [0.7, 0.8] and plan.amplitude_mm.tolist() == [0.4, 0.5]
    assert (side.nut_mm, side.bridge_mm) == ((20, 21), (28, 29))
    assert side.flag_low_mm[:, 0].tolist() == [18, 19]
    assert side.flag_high_mm[:, 0].tolist() == [30, 30]
    assert plan.back_mm[0] == 2 and plan.travel_mm[0] == 4 and side.shank_mm[0] == 15
    assert np.isnan(plan.back_mm[1]) and np.isnan(plan.gap_mm[1, 0])
    assert side.walls == (Wall("1", 5, 15), Wall("b", 9, 16))
    assert side.lid == Lid(1, 320, 35)
    assert isinstance(side.wheel, Wheel)
    assert (side.wheel.from_bridge_mm, side.wheel.rim_height_mm) == (30, 27)
    assert math.isnan(side.wheel.thickness_mm) and math.isnan(side.wheel.edge_drop_mm)


def test_what_is_typed_of_each_flag_stands_at_its_string_and_key():
    read = typed()

    # Higher than the string is thick by 30 − 18 − 0.7, and 30 − 19 − 0.8.
    assert read.flags[(1, 2)] == Flag(1.2, 3.0, -20.0, 30 - 18 - 0.7, 400 - 22)
    second = read.flags[(2, 2)]
    assert (second.offset_mm, second.turn_deg, second.room_mm) == (None, 10, pytest.approx(10.2))
    assert read.flags[(1, 5)] == Flag(1.3, sounding_mm=400 - 43)


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ({"spacing_nut_mm": 6}, (6, 6)), ({"spacing_bridge_mm": 8}, (8, 8)),
        ({"spacing_nut_mm": 6, "spacing_bridge_mm": 8}, (6, 8)),
    ],
)  # fmt: skip
def test_one_spacing_stands_for_both(typed, found):
    assert sheet(box([key(1, 22)], **typed)).plan.spacing_mm == found


@pytest.mark.parametrize(
    ("change", "code", "field", "row"),
    [
        ({"strings": [STRING, {**STRING, "nut_height_mm": None}]}, "missing", "nut_height_mm", 2),
        ({"strings": [STRING, {**STRING, "colour": 1}]}, "unknown", "strings", 2),
        (
            {"strings": [STRING, {**STRING, "bridge_height_mm": 301}]},
            "too_big",
            "bridge_height_mm",
            2,
        ),
        ({"strings": [STRING, {**STRING, "amplitude_mm": 5.1}]}, "too_big", "amplitude_mm", 2),
        ({"strings": [STRING] * 3}, "too_many", "strings", None),
        ({"strings": None}, "missing", "strings", None),
        ({"keys": [key(1, 22), key(2, 43, hue=1)]}, "unknown", "keys", 2),
        ({"keys": [key(1, 22), key(0, 43)]}, "too_small", "key", 2),
        ({"keys": [key(1, 22), key(61, 43)]}, "too_big", "key", 2),
        ({"keys": [key(1, 22), key(2, 22)]}, "not_rising", "at_mm", 2),
        ({"keys": [key(1, 22), key(2, 43, thickness_mm=20.1)]}, "too_big", "thickness_mm", 2),
        ({"keys": [key(1, 22), key(2, 43, travel_mm=-1)]}, "too_small", "travel_mm", 2),
        (
            {"keys": [key(1, 22), key(2, 43, shank_height_mm=-101)]},
            "too_small",
            "shank_height_mm",
            2,
        ),
        ({"keys": [key(1, 22), key(2, 43, side_play_mm=5.1)]}, "too_big", "side_play_mm", 2),
        ({"keys": [key(1, 22), key(2, 43, returns="soon")]}, "unknown", "returns", 2),
        ({"keys": [key(1, 22), key(2, 43, turn_deg=60.1)]}, "too_big", "turn_deg", 2),
        ({"keys": [key(1, 22), key(2, 43, offset_mm=[1])]}, "unequal", "offset_mm of key row 2", 2),
        ({"keys": [key(1, 22), key(2, 43, (None, ""))]}, "missing", "gap_mm", 2),
        (
            {"walls": [{"at_mm": 1, "height_mm": 2}, {"at_mm": 401, "height_mm": 2}]},
            "too_big",
            "at_mm",
            2,
        ),
        ({"walls": [{"at_mm": 1, "height_mm": 2}, {"at_mm": 1}]}, "missing", "height_mm", 2),
        ({"walls": [{"at_mm": 1, "height_mm": 2}, {"wide_mm": 1}]}, "unknown", "walls", 2),
        ({"walls": [{"at_mm": 1, "height_mm": 2}] * 7}, "too_many", "walls", None),
        ({"lid": {"from_mm": 1, "to_mm": 2}}, "missing", "height_mm", None),
        ({"lid": {"from": 1}}, "unknown", "lid", None),
        ({"wheel": {"radius": 1}}, "unknown", "wheel", None),
        ({"wheel": {**WHEEL, "thickness_mm": 0.9}}, "too_small", "thickness_mm", None),
        ({"wheel": {**WHEEL, "thickness_mm": 40.1}}, "too_big", "thickness_mm", None),
        ({"wheel": {**WHEEL, "edge_drop_mm": -0.1}}, "too_small", "edge_drop_mm", None),
        ({"wheel": {**WHEEL, "edge_drop_mm": 5.1}}, "too_big", "edge_drop_mm", None),
        ({"wheel": {"from_bridge_mm": 201, "rim_height_mm": 1}}, "too_big", "from_bridge_mm", None),
    ],
)
def test_a_wrong_figure_is_refused_with_its_field_and_row(change, code, field, row):
    found = refusal_of(change)

    assert (found.code, found.field, found.row) == (code, field, row)


@pytest.mark.parametrize("size", [(1.0, 0.0), (40.0, 5.0)])
def test_a_wheel_of_any_thickness_that_is_turned(size):
    thickness, drop = size
    wheel = {**WHEEL, "thickness_mm": thickness, "edge_drop_mm": drop}

    assert sheet(box([key(1, 22)], wheel=wheel)).side.wheel == Wheel(30, 27, thickness, drop)


def test_a_misspelt_input_is_refused():
    with pytest.raises(GaugeInputError) as refused:
        run({**box([key(1, 22)]), "hue": 1})

    assert (refused.value.code, refused.value.field) == ("unknown", "input")


def test_six_walls_and_sixty_keys_are_the_most():
    six = [{"at_mm": 1, "height_mm": 2}] * 6
    keys = [key(n, 5 * n) for n in range(1, 61)]

    read = sheet(box(keys, walls=six))

    assert (len(read.side.walls), read.plan.keys[-1]) == (6, 60)
    assert refusal_of({"keys": [*keys, key(61, 310)]}).code == "too_many"


def test_a_key_notes_its_play_and_its_return():
    words = ("free", "slow", "sticks")
    keys = [key(n, 20 * n, returns=word, side_play_mm=0.0) for n, word in enumerate(words, 1)]

    found = sheet(box([*keys, key(4, 90, returns="", side_play_mm=None)])).keys

    returns = [c for c in found if c.kind == "returns"]
    assert [c.verdict.word for c in returns] == ["inside", "doubtful", "outside"]
    assert [(c.note, c.key, c.string, c.stops) for c in returns] == [
        (n, n, None, True) for n in (1, 2, 3)
    ]
    play = [c for c in found if c.kind == "side_play"]
    # No play at all is a figure too: 0.1 less 1.645·0.02 is more than 0.
    assert [(c.note, c.verdict.value, c.verdict.u, c.stops) for c in play] == [
        (n, 0.0, 0.02, False) for n in (1, 2, 3)
    ]
    assert {c.verdict.word for c in play} == {"outside"}


# Tables


def test_names_go_up_and_are_whole():
    assert names_of([{"key": 2}, {"key": "5"}, {"key": 60.0}]) == (2, 5, 60)
    for first, second, code, limit in (
        (2, 2, "twice", None), (5, 3, "not_rising", 5), (2, 3.5, "not_whole", None),
        (2, None, "missing", None),
    ):  # fmt: skip
        with pytest.raises(GaugeInputError) as refused:
            names_of([{"key": first}, {"key": second}])
        assert (refused.value.code, refused.value.field, refused.value.row) == (code, "key", 2)
        assert refused.value.details.get("limit") == limit


def test_one_number_stands_for_all_strings_and_an_empty_one_for_none():
    rows: list[dict[str, Any]] = [{"a": 3}, {"a": [1, ""]}, {"a": [None, 2]}, {"a": 0}]

    found = each(rows, "a", 2, (0, 5))

    assert np.array_equal(found, [[3, 1, math.nan, 0], [3, math.nan, 2, 0]], equal_nan=True)
    assert np.isnan(each([{}], "a", 2, (0, 5), needed_here=False)).all()
    with pytest.raises(GaugeInputError) as refused:
        each([{"a": 1}, {"a": None}], "a", 2, (0, 5))
    assert (refused.value.code, refused.value.field, refused.value.row) == ("missing", "a", 2)
    with pytest.raises(GaugeInputError) as refused:
        each([{"a": 1}, {"a": [1, 9]}], "a", 2, (0, 5))
    assert (refused.value.code, refused.value.row) == ("too_big", 2)


def test_a_figure_of_each_key_or_none():
    assert np.array_equal(one_each([{"a": 0}, {}], "a", (0, 5)), [0, math.nan], equal_nan=True)
    with pytest.raises(GaugeInputError) as refused:
        one_each([{"a": 0}, {"a": 6}], "a", (0, 5))
    assert (refused.value.field, refused.value.row) == ("a", 2)


def test_tangents_go_on_over_one_that_is_not_measured():
    check_rising(np.array([[1, math.nan, 2], [math.nan, 1, 3]]))
    with pytest.raises(GaugeInputError) as refused:
        check_rising(np.array([[1.0, 2, 3], [5, math.nan, 4]]))
    assert (refused.value.row, refused.value.details["limit"]) == (3, "5")
