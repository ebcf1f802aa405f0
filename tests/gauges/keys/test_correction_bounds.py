"""Where the correction of a tangent turns over, and what is told of several strings at once."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.gauges.keys import correction
from repairs.gauges.keys.correction import DEFAULT_LIMITS, Flag, limit_for, turn_for
from repairs.gauges.keys.scalefit import fit_scale
from tests.gauges.keys.asking import one_key, run


@pytest.mark.parametrize(
    ("cents", "narrow"),
    [(25.0, True), (25.1, False), (1175.0, True), (1174.9, False), (1225.0, True), (1225.1, False),
     (361.3, False), (361.4, True), (411.3, True), (411.4, False), (676.9, False), (677.0, True),
     (726.9, True), (727.0, False), (1878.0, True), (1876.9, False), (2400.0, True)],
)  # fmt: skip
def test_within_a_quarter_of_a_semitone_of_pure_a_note_is_held_narrower(cents, narrow):
    # Pure are 0, 386.314, 701.955 and 1200, 25 either side.
    assert limit_for(cents, DEFAULT_LIMITS).upper == (2.0 if narrow else 5.0)


def test_a_flag_turns_as_far_as_it_meets_the_string_and_no_further():
    most = math.sin(math.radians(30.0))
    for move in (most, -most):
        turn = turn_for(move, 0.0, Flag(1.0, most_deg=30.0))
        assert turn is not None and turn.turn_deg == pytest.approx(math.copysign(30.0, move))
    assert turn_for(most + 1e-6, 0.0, Flag(1.0, most_deg=30.0)) is None
    assert turn_for(-most - 1e-6, 0.0, Flag(1.0, most_deg=30.0)) is None
    # Never beyond 89°: at 90 the face stands along the string.
    assert turn_for(math.sin(math.radians(88.9)), 0.0, Flag(1.0, most_deg=90.0)) is not None
    assert turn_for(math.sin(math.radians(89.5)), 0.0, Flag(1.0, most_deg=90.0)) is None


@pytest.mark.parametrize("sign", [1, -1])
def test_a_turn_close_to_its_end_has_a_doubt_though_no_more_can_be_turned(sign):
    # From 80° on one side to 88.97° on the other: the flag's axis a hair nearer is out of reach.
    flag = Flag(1.0, turn_deg=-80.0 * sign, most_deg=89.0)

    turn = turn_for(sign * (0.99984 + math.sin(math.radians(80.0))), 0.1, flag)

    assert turn is not None
    assert turn.turn_deg == pytest.approx(sign * (80 + 88.975), abs=0.001)
    assert math.isfinite(turn.u_turn_deg) and math.isfinite(turn.u_lateral_mm)


def test_a_flag_on_its_axis_reaches_nowhere():
    assert turn_for(0.1, 0.1, Flag(0.0)) is None
    assert turn_for(-0.1, 0.1, Flag(0.0)) is None


@pytest.mark.parametrize(
    ("explanation", "wrong", "basis"),
    [("bridge", 95.0, "after_scale"), ("bridge", 94.99, "as_stands"), ("right", 99.0, "as_stands")],
)
def test_bridge_or_nut_come_first_when_ninety_five_in_a_hundred_say_so(
    monkeypatch, explanation, wrong, basis
):
    true = fit_scale(np.linspace(100, 1200, 12), np.zeros(12), 345.0, 0.5, 0.5)
    assert true is not None
    said = dataclasses.replace(true, explanation=explanation, scale_wrong_pct=wrong)
    monkeypatch.setattr(correction, "fit_scale", lambda *_: said)

    assert (
        run(keys=12, reading="off_wanted", measured_cents=[0] * 12)["strings"][0]["basis"] == basis
    )


def test_the_basis_that_was_asked_for_is_taken():
    off = [4.0] * 12
    asked = {"keys": 12, "reading": "off_wanted", "measured_cents": off, "open_cents": 0}

    stands, after = run(**asked, basis="as_stands"), run(**asked, basis="after_scale")

    # Only octave, fifth and third: 4 is beyond 2 + 1.645·0.707, and not beyond 5.
    assert stands["strings"][0]["wrong_keys"] == [4, 7, 12]
    assert after["strings"][0]["wrong_keys"] == []
    assert (stands["first"], len(after["first"])) == ([], 1)
    assert {k["action"] for k in after["strings"][0]["keys"]} == {"leave"}


def test_without_a_limit_of_the_house_a_note_is_left_alone():
    key = one_key(keys=[12], measured_cents=[1250], limits={"pure_cents": {}})

    assert (key["verdict"]["word"], key["action"]) == ("not_judged", "leave")


def test_the_doubt_of_an_octave_by_hand():
    # Read to 0.5, the open string to 0.5: 0.707107 cents. Of the octave of 345 mm a cent is
    # 172.5/1731.234 = 0.0996399 mm: 0.070456. Half a millimetre of length moves the octave by as
    # much as 5 cents sharp of it wanted: (0.497481/345)·0.5 = 0.000721. √ of both: 0.070460 (the
    # sharper place has 0.997116 of the slope: 0.070253).
    key = one_key(keys=[12], measured_cents=[1205])

    assert key["u_off_cents"] == pytest.approx(0.707107, abs=1e-6)
    assert key["u_move_mm"] == pytest.approx(0.070257, abs=5e-6)
    told = one_key(keys=[12], measured_cents=[1205], u_cents=0.3, u_open_cents=0.4)
    assert told["u_off_cents"] == pytest.approx(0.5)
    unread = one_key(keys=[12], measured_cents=[5], reading="off_wanted")
    assert unread["u_off_cents"] == 0.5


def test_of_several_strings_the_one_furthest_from_the_first_is_told():
    strings = [
        {"name": "a", "measured_cents": [702, 1200, 1404]},
        {"name": "b", "measured_cents": [703, None, ""]},
        {"name": "c", "measured_cents": [698, 1201, None]},
    ]

    differ = run(keys=[7, 12, 14], strings=strings, u_cents=0.3, u_open_cents=0.4)["differ"]

    assert [d["key"] for d in differ] == [7, 12]
    assert [d["differ_cents"] for d in differ] == pytest.approx([4.0, -1.0])
    assert [d["u_differ_cents"] for d in differ] == pytest.approx([0.5 * math.sqrt(2)] * 2)
    assert [d["verdict"]["word"] for d in differ] == ["outside", "doubtful"]


def test_both_together_is_held_against_the_mean_of_those_alone():
    strings = [
        {"name": "a", "measured_cents": [705, 1203, ""], "open_cents": 3},
        {"name": "b", "measured_cents": [701, None, ""], "open_cents": -1},
    ]

    both = run(keys=[7, 12, 14], strings=strings, both_cents=[708, 1204, 1404])["both"]

    # As the tuner showed them: (705 + 701)/2 = 703, and 1203; the third was read of neither.
    assert [b["key"] for b in both] == [7, 12]
    assert [b["both_less_alone_cents"] for b in both] == pytest.approx([5.0, 1.0])
    # 0.5·√(1 + ½) and 0.5·√2.
    assert [b["u_cents"] for b in both] == pytest.approx([0.612372, 0.707107], abs=1e-6)
    some = run(keys=[7, 12, 14], strings=strings, both_cents=[None, "", 1404])
    assert some["both"] == []
    assert run(keys=[7, 12, 14], strings=strings)["both"] == []


def test_both_together_is_told_of_a_single_string_too():
    (both,) = run(keys=[7], measured_cents=[702], both_cents=[705], u_cents=0.2)["both"]

    assert both["both_less_alone_cents"] == pytest.approx(3.0)
    assert both["u_cents"] == pytest.approx(0.2 * math.sqrt(2))


def test_strings_may_have_their_own_length_and_a_name_of_sixty_letters():
    strings = [
        {"name": "n" * 61, "measured_cents": [1205], "length_mm": 400},
        {"measured_cents": [1205]},
    ]

    answer = run(keys=[12], strings=strings)

    assert [s["name"] for s in answer["strings"]] == ["n" * 60, "2"]
    assert answer["length_mm"] == 400
    moves = [s["keys"][0]["move_mm"] for s in answer["strings"]]
    # 0.497481 of 345 (by hand in test_correction), and so much more of 400.
    assert moves == pytest.approx([-0.497481 * 400 / 345, -0.497481], abs=3e-6)


@pytest.mark.parametrize(
    ("fixed", "keys"),
    [(True, [7, 12]), ([12], [12]), ([7], [7]), ([], []), (False, []), (None, []), ("", [])],
)
def test_the_keys_of_one_piece(fixed, keys):
    strings = [{"measured_cents": [708, 1206]}, {"measured_cents": [702, 1200]}]

    found = run(keys=[7, 12], strings=strings, fixed_double=fixed)["conflicts"]

    assert [c["key"] for c in found if c["code"] == "fixed_double"] == keys


@pytest.mark.parametrize(
    ("asked", "field", "details"),
    [
        ({"keys": [7], "measured_cents": [""]}, "measured_cents (1)", {"value": 0, "limit": 1}),
        ({"keys": [7, 12], "measured_cents": [700]}, "measured_cents (1)",
         {"value": 1, "other": "keys", "limit": 2}),
        ({"keys": [7], "strings": [{"measured_cents": [702]}] * 7}, "strings",
         {"value": 7, "limit": 6}),
        ({"keys": [7], "measured_cents": [702], "gap_mm": [1, 2]}, "gap_mm (1)",
         {"value": 2, "limit": 1}),
    ],
)  # fmt: skip
def test_too_few_or_too_many_are_told_with_their_number(asked, field, details):
    with pytest.raises(GaugeInputError) as refused:
        run(**asked)

    assert refused.value.field == field
    assert {name: refused.value.details[name] for name in details} == details


def test_a_misspelt_input_of_each_gauge_of_keys_is_refused():
    for name in ("tangents", "sharpening", "correction"):
        with pytest.raises(GaugeInputError) as refused:
            gauges()[name].run({"lenght_mm": 345})
        assert (refused.value.code, refused.value.field) == ("unknown", "input")
