"""Readings as they were typed: angles, gaps, defaults, and every refusal with its field and row."""

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel.readings import read

EIGHT = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8]
EVEN = [0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0]
STRING = {"tension_n": 60, "length_mm": 345, "from_bridge_mm": 25, "lift_mm": 1}


def typed(**given):
    return read({"readings_mm": EIGHT, "mean_diameter_mm": 170, **given})


def refused(**given):
    with pytest.raises(GaugeInputError) as refusal:
        typed(**given)
    return refusal.value.code, refusal.value.field, refusal.value.row


def test_what_is_left_out_has_its_usual_value():
    found = typed()

    assert found.angles_deg.tolist() == EVEN
    assert found.readings_mm.tolist() == EIGHT
    assert (found.missing, found.mean_diameter_mm, found.u_mean_diameter_mm) == (0, 170, 0.02)
    assert (found.sigma_mm, found.sigma_assumed) == (0.005, True)
    assert (found.side, found.lift_mm, found.strings, found.rim) == (None, None, (), "unknown")
    assert (found.rule.leave_tir_mm, found.rule.ratio) == (0.02, 2.0)
    assert found.rule.source == "common practice"
    assert found.widest_gap_deg == 45


def test_what_is_given_goes_before():
    found = typed(u_mean_diameter_mm=0.1, gauge_sigma_mm=0.01, lift_mm=1.5, rim="original")

    assert (found.u_mean_diameter_mm, found.sigma_mm, found.sigma_assumed) == (0.1, 0.01, False)
    assert (found.lift_mm, found.rim) == (1.5, "original")


@pytest.mark.parametrize(
    ("start", "first", "rest"),
    [(0, 0.1, 0.0), (45, 0.8, 0.0), (-45, 0.2, 0.0), (50, 0.8, 5.0), (360, 0.1, 0.0)],
)
def test_the_turn_begins_at_the_mark_wherever_reading_began(start, first, rest):
    for angles in (None, EVEN):
        found = typed(start_deg=start, angles_deg=angles)

        assert found.readings_mm[0] == first
        assert found.angles_deg.tolist() == [angle + rest for angle in EVEN]


def test_readings_are_put_in_the_order_of_the_turn():
    found = typed(angles_deg=[*reversed(EVEN)], sign=-1)

    assert found.angles_deg.tolist() == EVEN
    assert found.readings_mm.tolist() == [-value for value in reversed(EIGHT)]


def test_a_place_left_empty_is_missing_and_nought_is_a_reading():
    found = typed(readings_mm=[None, 0.2, "", 0, " ", 0.6, "0.7", 0.8])

    assert found.missing == 3
    assert found.readings_mm.tolist() == [0.2, 0.0, 0.6, 0.7, 0.8]
    assert found.angles_deg.tolist() == [45, 135, 225, 270, 315]


@pytest.mark.parametrize(
    ("missing", "gap"), [([], 45), ([3], 90), ([0], 90), ([7, 0, 1], 180), ([1, 2, 6, 7], 135)]
)
def test_the_widest_gap_may_lie_across_the_mark(missing, gap):
    readings = [None if place in missing else value for place, value in enumerate(EIGHT)]

    assert typed(readings_mm=readings).widest_gap_deg == gap


@pytest.mark.parametrize(
    ("readings", "expected"),
    [
        ([0.1] * 8, ("all_equal", "readings_mm", None)),
        ([0.0] * 7 + [5.01], ("too_big", "The range of readings_mm", None)),
        ([-2.51] + [2.5] * 7, ("too_big", "The range of readings_mm", None)),
        ([1.0] * 7 + [30.01], ("too_big", "readings_mm", 8)),
        ([None, -30.01] + [1.0] * 6, ("too_small", "readings_mm", 2)),
        ([None, "x"] + [1.0] * 6, ("not_a_number", "readings_mm", 2)),
        ([None] * 5 + [1, 2, 3], ("too_few", "readings_mm", None)),
        ([0.1] * 7, ("too_few", "readings_mm", None)),
        ([0.1] * 73, ("too_many", "readings_mm", None)),
    ],
)
def test_readings_that_cannot_be(readings, expected):
    assert refused(readings_mm=readings) == expected


@pytest.mark.parametrize(
    "readings",
    [
        [0.0] * 7 + [5.0],
        [27.0] * 7 + [30.0],
        [-30.0] + [-27.0] * 7,
        [None] * 4 + [1, 2, 3, 4],
        [0.1, 0.2] * 36,
    ],
)
def test_readings_at_the_ends_of_what_can_be(readings):
    assert len(typed(readings_mm=readings).readings_mm) + readings.count(None) == len(readings)
    assert len(typed(readings_mm=np.array(EIGHT)).readings_mm) == 8


@pytest.mark.parametrize(
    ("angles", "expected"),
    [
        (EVEN[:7], ("too_few", "angles_deg", None)),
        ([*EVEN, 350], ("unequal", "angles_deg", None)),
        ([*EVEN[:7], 720.1], ("too_big", "angles_deg", 8)),
        ([-720.1, *EVEN[1:]], ("too_small", "angles_deg", 1)),
        ([0, 0.0999, *EVEN[2:]], ("twice", "angles_deg", 2)),
        ([0.0999, 0, *EVEN[2:]], ("twice", "angles_deg", 2)),
        ([*EVEN[:7], 359.95], ("twice", "angles_deg", 8)),  # across the mark
        ([359.95, *EVEN[1:7], 0], ("twice", "angles_deg", 8)),
        ([10, 45, 90, 10, 180, 225, 270, 315], ("twice", "angles_deg", 4)),
        ([*EVEN[:6], 585, 270], ("twice", "angles_deg", 7)),  # 585° is 225°
    ],
)
def test_angles_that_cannot_be(angles, expected):
    assert refused(angles_deg=angles) == expected


def test_angles_as_near_as_two_places_can_be():
    assert typed(angles_deg=[0, 0.1, *EVEN[2:]]).angles_deg.tolist() == [0, 0.1, *EVEN[2:]]
    assert typed(angles_deg=[-720, *EVEN[1:7], 675]).angles_deg.tolist() == EVEN


@pytest.mark.parametrize(("sign", "first"), [(1, 0.1), (-1, -0.1), ("-1", -0.1), (None, 0.1)])
def test_the_dial_may_run_either_way(sign, first):
    assert typed(sign=sign).readings_mm[0] == first


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"sign": 0}, ("unknown", "sign", None)),
        ({"sign": -2}, ("unknown", "sign", None)),
        ({"sign": "up"}, ("not_a_number", "sign", None)),
        ({"start_deg": 360.1}, ("too_big", "start_deg", None)),
        ({"gauge_sigma_mm": -0.001}, ("too_small", "gauge_sigma_mm", None)),
        ({"lift_mm": 0}, ("not_positive", "lift_mm", None)),
        ({"rim": 1}, ("unknown", "rim", None)),
        ({"axial_mm": EIGHT[:7]}, ("too_few", "axial_mm", None)),
        ({"axial_mm": [*EIGHT, 0.9]}, ("unequal", "axial_mm", None)),
        ({"axial_mm": [0.1] * 8}, ("all_equal", "axial_mm", None)),
        ({"axial_mm": [None] * 5 + [1, 2, 3]}, ("too_few", "axial_mm", None)),
        ({"axial_mm": [*EIGHT[:7], "x"]}, ("not_a_number", "axial_mm", 8)),
        ({"strings": [STRING] * 13}, ("too_many", "strings", None)),
        ({"strings": [STRING, {**STRING, "lift_mm": 21}]}, ("too_big", "lift_mm", 2)),
        ({"strings": [STRING, {**STRING, "tension_n": 0}]}, ("not_positive", "tension_n", 2)),
        ({"strings": [STRING, {**STRING, "length_mm": 99}]}, ("too_small", "length_mm", 2)),
        ({"strings": [{**STRING, "from_bridge_mm": 345}]}, ("too_big", "from_bridge_mm", 1)),
        ({"strings": [STRING, {"pitch": 1}]}, ("unknown", "strings", 2)),
        ({"note_of_mine": 1}, ("unknown", "input", None)),
    ],
)
def test_what_stands_beside_the_readings_is_refused_by_its_name(given, expected):
    assert refused(**given) == expected


def test_what_is_kept_beside_a_case_is_not_looked_at():
    assert typed(note="found so", expected={"tir_mm": 1}).missing == 0


def test_the_side_face_is_put_in_order_by_the_same_angles():
    side = typed(angles_deg=[*reversed(EVEN)], axial_mm=[0.1, None, *EIGHT[2:]], sign=-1).side

    assert side is not None
    assert side.angles_deg.tolist() == [0, 45, 90, 135, 180, 225, 315]
    assert side.readings_mm.tolist() == [0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.1]


def test_strings_are_called_by_their_names_or_their_rows():
    found = typed(strings=[{**STRING, "name": "drone"}, STRING]).strings

    assert [name for name, _string in found] == ["drone", "2"]
    assert found[0][1].lift_mm == 1
    assert len(typed(strings=[STRING] * 12).strings) == 12
    assert typed(strings=[]).strings == ()


@pytest.mark.parametrize(
    ("given", "leave", "ratio", "source"),
    [
        ({"leave_tir_mm": 0.03}, 0.03, 2.0, "set by the house"),
        ({"ratio": 3}, 0.02, 3.0, "set by the house"),
        ({"leave_tir_mm": 0.03, "ratio": 3}, 0.03, 3.0, "set by the house"),
    ],
)
def test_the_rule_of_the_house(given, leave, ratio, source):
    rule = typed(**given).rule

    assert (rule.leave_tir_mm, rule.ratio, rule.source) == (leave, ratio, source)
