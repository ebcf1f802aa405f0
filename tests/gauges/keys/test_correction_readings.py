"""Correction of tangents: what readings may leave out, what is judged, and its figures."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from repairs.gauges.keys import correction
from repairs.gauges.keys.correction import Flag, turn_for
from repairs.gauges.keys.temperament import TEMPERAMENTS
from tests.gauges.keys.asking import one_key, run

JUST = TEMPERAMENTS["just"]


def test_without_the_open_string_a_constant_is_an_offset_not_a_nut():
    off = [4.0] * 23

    answer = run(keys=23, reading="off_wanted", measured_cents=off)
    read = run(keys=23, reading="off_wanted", measured_cents=off, open_cents=4.0)

    fit = answer["strings"][0]["fit"]
    assert fit["explanation"] == "offset" and fit["nut_mm"] is None
    assert fit["offset_cents"] == pytest.approx(4.0)
    assert answer["first"][0]["code"] == "read_open_string"
    assert read["strings"][0]["fit"]["explanation"] == "right"


def test_few_keys_cannot_tell_a_scale():
    string = run(keys=[7, 12], measured_cents=[705, 1203])["strings"][0]

    assert string["fit"] is None and string["basis"] == "as_stands"
    assert string["keys"][0]["off_after_cents"] == string["keys"][0]["off_cents"]


def test_three_ways_to_type_the_same():
    above = one_key(keys=[7], measured_cents=[705.955], open_cents=1)
    wanted = one_key(keys=[7], measured_cents=[4.0], open_cents=1, reading="off_wanted")
    equal = one_key(keys=[7], measured_cents=[5.955], open_cents=1, reading="off_equal")

    for one in (above, wanted, equal):
        assert one["off_cents"] == pytest.approx(3.0, abs=1e-4)
        assert one["measured_cents"] == pytest.approx(704.955, abs=1e-4)


@pytest.mark.parametrize(
    ("key", "off", "word"),
    [
        (12, 0.5, "inside"), (12, 4.0, "outside"), (7, 1.9, "doubtful"), (4, 4.0, "outside"),
        (2, 3.5, "inside"), (2, 7.0, "outside"), (9, 5.0, "doubtful"), (24, 4.0, "outside"),
    ],
)  # fmt: skip
def test_octave_fifth_and_third_are_held_narrower(key, off, word):
    found = one_key(keys=[key], measured_cents=[off], reading="off_wanted", open_cents=0)

    assert found["verdict"]["word"] == word
    expected = {"inside": "leave", "doubtful": "measure_again", "outside": "move"}
    assert found["action"] == expected[word]


def test_thirds_and_fifths_of_every_temperament_are_known_as_such():
    for scale in TEMPERAMENTS.values():
        for step in (4, 7, 12, 16, 19, 24):
            limit = correction.limit_for(scale.at(step), correction.DEFAULT_LIMITS)
            assert limit.upper == 2.0, (scale.name, step)
        for step in (1, 2, 3, 5, 6, 8, 9, 10, 11):
            limit = correction.limit_for(scale.at(step), correction.DEFAULT_LIMITS)
            assert limit.upper == 5.0, (scale.name, step)


@settings(deadline=None, max_examples=100, derandomize=True)
@given(st.floats(0.3, 6), st.floats(-30, 30), st.floats(-1.5, 1.5))
def test_a_turn_is_what_a_root_finder_says(offset, start, move):
    turn = turn_for(move, 0.0, Flag(offset, start, most_deg=60))

    def short(deg):
        at, now = math.radians(deg), math.radians(start)
        return offset * (math.sin(at) - math.sin(now)) - move

    reachable = short(-60) <= 0 <= short(60)
    assert (turn is not None) == reachable
    if turn:
        end = brentq(short, -60, 60, xtol=1e-12)
        assert turn.turn_deg == pytest.approx(end - start, abs=1e-6)
        lateral = offset * (math.cos(math.radians(end)) - math.cos(math.radians(start)))
        assert turn.lateral_mm == pytest.approx(lateral, abs=1e-9)


def test_a_flag_without_offset_turns_for_nothing():
    assert one_key(keys=[12], measured_cents=[1206], offset_mm=0)["action"] == "re_pin"


@settings(deadline=None, max_examples=60, derandomize=True)
@given(st.floats(200, 600), st.integers(1, 24), st.floats(-40, 40))
def test_after_the_move_the_note_is_right(length, key, off):
    wanted = JUST.at(key)
    found = one_key(length_mm=length, keys=[key], measured_cents=[wanted + off])

    left = length * 2 ** (-(wanted + off) / 1200) - found["move_mm"]
    assert 1200 * math.log2(length / left) == pytest.approx(wanted, abs=1e-6)


def test_strings_that_disagree_and_both_together():
    strings = [
        {"name": "a", "measured_cents": [702, 1200]},
        {"name": "b", "measured_cents": [706, 1200]},
    ]

    answer = run(keys=[7, 12], strings=strings, both_cents=[708, 1200])

    assert [d["differ_cents"] for d in answer["differ"]] == pytest.approx([-4.0, 0.0])
    assert answer["differ"][0]["verdict"]["word"] == "outside"
    assert answer["both"][0]["both_less_alone_cents"] == pytest.approx(4.0)
    assert answer["both"][0]["verdict"]["word"] == "outside"
    assert answer["both"][1]["verdict"]["word"] == "inside"


def test_unmeasured_keys_are_left_out():
    keys = run(keys=[7, 9, 12], measured_cents=[702, None, ""])["strings"][0]["keys"]

    assert [k["key"] for k in keys] == [7]


def test_golden_figures():
    """When this fails, the figures changed: put VERSION up, and then these."""
    off = [0.4, -0.8, 1.1, -0.2, 0.6, 14.0, -1.0, 0.3, -0.5, 0.9, -0.3, 0.7]
    cents = [c + o - 0.01 * c for c, o in zip(map(JUST.at, range(1, 13)), off, strict=True)]

    answer = run(keys=12, measured_cents=cents, offset_mm=3)

    string = answer["strings"][0]
    assert correction.VERSION == "correction 3"
    assert string["fit"]["explanation"] == "bridge"
    found = [
        string["fit"]["sure_pct"], string["fit"]["bridge_mm"], string["fit"]["u_bridge_mm"],
        string["fit"]["scatter_cents"], string["keys"][5]["off_after_cents"],
        string["keys"][5]["move_after_mm"], string["keys"][5]["u_move_after_mm"],
        string["keys"][5]["turn_deg"], string["keys"][5]["u_turn_deg"],
        string["keys"][5]["lateral_mm"], string["keys"][11]["move_mm"],
    ]  # fmt: skip
    assert [float(f"{one:.9g}") for one in found] == GOLDEN


GOLDEN = [
    79.0350385,
    2.44450778,
    0.210545642,
    1.05392956,
    13.0389944,
    -1.84081621,
    0.11053964,
    -37.8506563,
    3.05732408,
    -0.631161537,
    1.12961351,
]
