"""Two or three turns: what repeats apart from what does not, and turns that do not match."""

from __future__ import annotations

import math

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel import gauge as wheel
from repairs.gauges.wheel.turns import averaged, step_of, student_975
from tests.gauges.wheel.wheel_shapes import off_axle, turn

ONE = np.array([0.0, 0.1, 0.2, 0.1, 0.0, -0.1, -0.2, -0.1])


def test_what_repeats_is_the_mean_and_what_does_not_is_apart():
    # Three turns by hand: the rim, and ±0.01 mm in turn at the first two places only.
    apart = np.zeros((3, 8))
    apart[:, 0], apart[:, 1] = (0.01, -0.01, 0.0), (-0.01, 0.01, 0.0)

    mean, repeat = averaged(ONE + apart)

    assert mean == pytest.approx(ONE)
    # Four deviations of 0.01 mm on (3 − 1)·(8 − 1) degrees of freedom.
    assert repeat.freedom == 14
    assert repeat.sigma_mm == pytest.approx(math.sqrt(4 * 0.01**2 / 14))
    assert repeat.asynchronous_mm == pytest.approx(0.02)
    wider = student_975(14) / 1.959964
    assert repeat.noise_mm == pytest.approx(wider * repeat.sigma_mm / math.sqrt(3))


def test_a_turn_may_have_a_zero_of_its_own():
    mean, repeat = averaged(np.vstack([ONE, ONE + 0.7]))

    assert mean == pytest.approx(ONE)
    assert repeat.sigma_mm == pytest.approx(0, abs=1e-12)
    # Alike to the last digit, they are as unsure as a dial that shows a tenth: 0.05/√12 and less.
    assert repeat.noise_mm == pytest.approx(0.05 / math.sqrt(12))


@pytest.mark.parametrize(
    ("values", "step"),
    [([0.1, 0.25], 0.05), ([0.01, 0.02], 0.01), ([0.011], 0.001), ([0.0123456], 0.0)],
)
def test_the_step_of_what_was_read(values, step):
    assert step_of(np.array(values)) == step


@pytest.mark.parametrize(
    ("freedom", "value"), [(8, 2.306), (10, 2.228), (23, 2.069), (60, 2.000), (142, 1.977)]
)
def test_student_s_quantile_is_that_of_the_tables(freedom, value):
    assert student_975(freedom) == pytest.approx(value, abs=0.0015)


def test_the_repeatability_comes_from_the_turns():
    chance = np.random.default_rng(2)
    case = turn(off_axle)
    shape = np.array(case["readings_mm"])
    turns = shape + chance.normal(0, 0.02, (3, 24))
    given = {**case, "readings_mm": turns[0].tolist(), "gauge_sigma_mm": None}

    one = wheel.run(given)
    three = wheel.run({**given, "second_mm": turns[1].tolist(), "third_mm": turns[2].tolist()})

    assert (one["turns"], one["repeat_sigma_mm"]) == (1, None)
    assert "noise_assumed" in one["warnings"]
    assert three["turns"] == 3
    assert three["repeat_sigma_mm"] == pytest.approx(0.02, rel=0.15)
    assert three["asynchronous_mm"] > 0.04
    assert "noise_assumed" not in three["warnings"]
    assert three["noise_mm"] == pytest.approx(0.02 / math.sqrt(3), rel=0.2)


@pytest.mark.parametrize(
    ("more", "code", "field", "row"),
    [
        ({"second_mm": [0.1] * 23}, "unequal", "second_mm", 24),
        ({"second_mm": [0.1] * 25}, "unequal", "second_mm", 25),
        ({"second_mm": [0.1, 0.2, None] + [0.1] * 21}, "other_turn", "second_mm", 3),
        ({"third_mm": [0.1, "x"] + [0.1] * 22}, "not_a_number", "third_mm", 2),
        ({"second_mm": [0.1] * 24}, "all_equal", "second_mm", None),
    ],
)
def test_turns_that_do_not_match_are_refused_by_row_and_field(more, code, field, row):
    with pytest.raises(GaugeInputError) as refusal:
        wheel.run(turn(off_axle) | more)

    assert (refusal.value.code, refusal.value.field, refusal.value.row) == (code, field, row)


def test_a_place_that_only_the_second_turn_has_is_refused():
    case = turn(off_axle)
    second = list(case["readings_mm"])
    case["readings_mm"][4] = None

    with pytest.raises(GaugeInputError, match=r"readings_mm \(row 5\) is missing, and second_mm"):
        wheel.run(case | {"second_mm": second})


# ---- which way the crank went


@pytest.mark.parametrize(
    ("turned", "high"), [("places", 60.0), ("backward", 60.0), ("forward", 300.0), (None, 60.0)]
)
def test_turned_forward_the_places_pass_backwards(turned, high):
    """After 60° forward the place of 300° stands under the dial: what is read there is high."""
    found = wheel.run(turn(off_axle, turned=turned))

    assert found["high_spot_deg"] == pytest.approx(high)
    even = {name: value for name, value in turn(off_axle).items() if name != "angles_deg"}
    assert wheel.run({**even, "turned": turned})["high_spot_deg"] == pytest.approx(high)


def test_an_offset_start_is_a_place_whichever_way_the_crank_went():
    assert wheel.run(turn(off_axle, turned="forward", start_deg=10))[
        "high_spot_deg"
    ] == pytest.approx(310)


def test_an_unknown_way_is_refused():
    with pytest.raises(GaugeInputError, match="turned is left, which is not known"):
        wheel.run(turn(off_axle, turned="left"))


def test_an_oval_s_angle_is_not_given_where_there_may_be_no_oval():
    assert wheel.run(turn(off_axle))["oval_high_deg"] is None
    found = wheel.run(turn(lambda t: 0.1 * math.cos(2 * (t - 0.5))))
    assert found["oval_high_deg"] == pytest.approx(math.degrees(0.5))
