"""The keybox from the side: where the wheel bends the string, and each room under and over it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from repairs.gauges.action.gauge import DEFAULT_LIMITS
from repairs.gauges.action.side import Lid, Line, Side, Wall, Wheel, lines, side_checks

NAN = math.nan


def side(**more):
    """One string of 1 mm from 20 over 400 mm to 28, one key at 100; nothing else is measured."""
    usual = {
        "length_mm": 400.0, "keys": (5,), "at_mm": np.array([[100.0]]),
        "diameter_mm": np.array([1.0]), "nut_mm": (20.0,), "bridge_mm": (28.0,),
        "flag_low_mm": np.array([[NAN]]), "flag_high_mm": np.array([[NAN]]),
        "shank_mm": np.array([NAN]), "walls": (), "lid": None, "wheel": None, "u_height_mm": 0.1,
    }  # fmt: skip
    return Side(**{**usual, **more})


def rooms(of):
    return [
        (
            s.check.kind,
            s.check.note,
            s.check.key,
            s.check.place,
            pytest.approx(s.check.verdict.value, abs=1e-9),
            pytest.approx(s.by_nut, abs=1e-9),
            pytest.approx(s.by_bridge, abs=1e-9),
        )
        for s in side_checks(of, DEFAULT_LIMITS)
    ]


@pytest.mark.parametrize(
    ("rim", "contact", "height", "lift"),
    [(28.0, 360.0, 28.0, 0.8), (27.2, 400.0, 28.0, 0.0), (27.0, 400.0, 28.0, -0.2)],
)
def test_the_wheel_bends_a_string_that_lies_below_its_rim(rim, contact, height, lift):
    # At 360 the line from 20 to 28 is at 27.2; a rim just there bends nothing.
    (line,) = lines(side(wheel=Wheel(40.0, rim, NAN, NAN)))

    assert line.lift_mm == pytest.approx(lift, abs=1e-9)
    assert line == Line(1, 400.0, 20.0, 28.0, contact, height, line.lift_mm)


def test_without_a_wheel_nothing_is_lifted_and_each_string_has_its_number():
    found = lines(side(nut_mm=(20.0, 21.0), bridge_mm=(28.0, 29.0)))

    assert found == (
        Line(1, 400.0, 20.0, 28.0, 400.0, 28.0, None),
        Line(2, 400.0, 21.0, 29.0, 400.0, 29.0, None),
    )


def test_a_flag_has_room_below_and_above_the_string():
    # At 100 the underside is 22, the top 23: 1.5 over 20.5, and 2 under 25. Raising the nut by 1
    # lifts the string by ¾ there, the bridge by ¼.
    found = rooms(side(flag_low_mm=np.array([[20.5]]), flag_high_mm=np.array([[25.0]])))

    assert found == [
        ("flag_low", 5, 5, None, 1.5, 0.75, 0.25),
        ("flag_high", 5, 5, None, 2.0, -0.75, -0.25),
    ]
    assert rooms(side(flag_low_mm=np.array([[20.5]]), at_mm=np.array([[NAN]]))) == []


def test_over_a_wheel_the_bridge_moves_nothing_before_it():
    # Rim 29 at 360: at 100 the underside is 20 + 9·100/360 = 22.5; the nut lifts it by 260/360.
    found = rooms(side(flag_low_mm=np.array([[20.5]]), wheel=Wheel(40.0, 29.0, NAN, NAN)))

    assert found == [("flag_low", 5, 5, None, 2.0, 260 / 360, 0.0)]


def test_shanks_walls_and_lid_concern_the_open_string():
    found = rooms(
        side(
            shank_mm=np.array([19.0]), walls=(Wall("head", 50.0, 20.5), Wall("foot", 300.0, 27.0)),
            lid=Lid(10.0, 300.0, 30.0),
        )
    )  # fmt: skip

    assert found == [
        ("shank", 0, 5, None, 3.0, 0.75, 0.25),
        ("wall", 0, None, "head", 0.5, 0.875, 0.125),
        ("wall", 0, None, "foot", -1.0, 0.25, 0.75),
        # Highest at 300: 26 and its 1 mm under 30.
        ("lid", 0, None, None, 3.0, -0.25, -0.75),
    ]
    assert rooms(side(shank_mm=np.array([19.0]), at_mm=np.array([[NAN]]))) == []


@pytest.mark.parametrize(
    ("lid", "value"),
    [
        # The string rises to 30 at 360 and falls to 20 at 400: under the lid there it is highest.
        (Lid(100.0, 390.0, 33.0), 2.0),
        # The lid ends on its near or far side: the end nearest to the wheel counts.
        (Lid(0.0, 180.0, 33.0), 33 - 25 - 1),
        (Lid(380.0, 400.0, 33.0), 33 - 25 - 1),
        (Lid(360.0, 390.0, 33.0), 2.0),
        (Lid(100.0, 360.0, 33.0), 2.0),
    ],
)
def test_a_lid_is_nearest_over_the_wheel_where_it_reaches_there(lid, value):
    of = side(bridge_mm=(20.0,), lid=lid, wheel=Wheel(40.0, 30.0, NAN, NAN))

    ((kind, *_rest, room, _by_nut, by_bridge),) = rooms(of)
    assert (kind, room, by_bridge) == ("lid", value, 0.0)


def test_the_doubt_of_a_room_is_that_of_the_line_and_of_the_level():
    # A quarter along: 0.1·√(0.75² + 0.25²) = 0.0790569, with the level's own 0.1: 0.1274755.
    (found,) = side_checks(side(shank_mm=np.array([19.0])), DEFAULT_LIMITS)

    assert found.check.verdict.u == pytest.approx(0.1274755, abs=1e-6)
    assert found.check.string == 1


def test_the_edges_of_the_rim_by_hand():
    # Rim 30 at 360, 12 thick, its edges 0.4 lower. It rises 10 in 360: 6 mm before its middle it is
    # 0.1667 lower: 0.4 − 0.1667. Beyond it falls 10 in 40: 1.5 lower: 0.4 − 1.5.
    wheel = Wheel(40.0, 30.0, 12.0, 0.4)

    found = rooms(side(bridge_mm=(20.0,), wheel=wheel))

    assert found == [
        ("wheel_edge", 0, None, "nut_side", 0.4 - 1 / 6, 6 / 360, 0.0),
        ("wheel_edge", 0, None, "bridge_side", -1.1, 0.0, 0.0),
    ]
    stops = [
        s.check.stops for s in side_checks(side(bridge_mm=(20.0,), wheel=wheel), DEFAULT_LIMITS)
    ]
    assert stops == [True, False]


@pytest.mark.parametrize(
    "wheel",
    [None, Wheel(40.0, 20.0, 12.0, 0.4), Wheel(40.0, 19.0, 12.0, 0.4), Wheel(40.0, 30.0, NAN, 0.4),
     Wheel(40.0, 30.0, 12.0, NAN)],
)  # fmt: skip
def test_an_edge_that_is_not_measured_or_not_touched_is_not_judged(wheel):
    assert rooms(side(bridge_mm=(20.0,), wheel=wheel)) == []


def test_each_string_is_held_against_its_own_flags():
    found = rooms(
        side(
            at_mm=np.array([[100.0], [200.0]]), diameter_mm=np.array([1.0, 0.5]),
            nut_mm=(20.0, 20.0), bridge_mm=(28.0, 20.0),
            flag_low_mm=np.array([[20.0], [19.0]]), flag_high_mm=np.array([[25.0], [22.0]]),
            shank_mm=np.array([18.5]),
        )
    )  # fmt: skip

    assert [(room[0], room[4]) for room in found] == [
        ("flag_low", 2.0), ("flag_high", 2.0), ("shank", 3.5),
        ("flag_low", 1.0), ("flag_high", 1.5), ("shank", 1.5),
    ]  # fmt: skip
