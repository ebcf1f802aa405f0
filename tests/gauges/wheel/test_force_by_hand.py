"""The force of the wheel, its swelling and the speed of the rim, worked by hand."""

import math

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel import force

# 40 N on 400 mm, lifted by 30 mm at 40 mm from the bridge: 50 mm of string to the bridge, 361.248
# to the nut, so 40 · 30 · (1/50 + 1/361.248) = 27.321825 N.
STRING = {"tension_n": 40, "length_mm": 400, "from_bridge_mm": 40, "lift_mm": 10}
HIGH = force.StringOnWheel(40, 400, 40, 30)


def run(**given):
    return force.run({**STRING, **given})


def test_both_sides_of_the_string_press():
    assert HIGH.force_n() == pytest.approx(27.321825, abs=1e-5)
    assert HIGH.force_small_angle_n() == pytest.approx(33.333333)  # 1200 · (1/40 + 1/360)
    assert force.StringOnWheel(40, 400, 40, 10).force_n(30) == pytest.approx(27.321825, abs=1e-5)
    assert HIGH.force_n(0.0) == 0


def test_the_wheel_may_stand_anywhere_between_bridge_and_nut():
    # The same string from its other end is pressed by as much.
    other = force.StringOnWheel(40, 400, 360, 30)

    assert other.force_n() == pytest.approx(HIGH.force_n())
    assert other.force_small_angle_n() == pytest.approx(HIGH.force_small_angle_n())


@pytest.mark.parametrize(
    ("given", "swelling", "speed", "pulse"),
    [
        ({}, None, None, None),
        ({"ecc_mm": 0}, 0.0, None, None),
        ({"ecc_mm": 0.5}, 5.0, None, None),
        # π · 0.2 m · 90 / 60 s.
        ({"diameter_mm": 200, "turns_per_min": 90}, None, 0.3 * math.pi, 1.5),
    ],
)
def test_only_what_was_asked_is_answered(given, swelling, speed, pulse):
    found = run(**given)

    assert found["swelling_pct"] == swelling
    assert found["pulse_hz"] == pulse
    assert found["rim_speed_m_s"] == (None if speed is None else pytest.approx(speed))
    assert found["u_force_n"] is None


@pytest.mark.parametrize(
    ("given", "code", "field"),
    [
        ({"diameter_mm": 200}, "missing", "turns_per_min"),
        ({"turns_per_min": 60}, "missing", "diameter_mm"),
        ({"diameter_mm": 49.9, "turns_per_min": 60}, "too_small", "diameter_mm"),
        ({"diameter_mm": 300.1, "turns_per_min": 60}, "too_big", "diameter_mm"),
        ({"diameter_mm": 200, "turns_per_min": 600.1}, "too_big", "turns_per_min"),
        ({"ecc_mm": -0.1}, "too_small", "ecc_mm"),
        ({"u_tension_n": 13.34}, "too_big", "u_tension_n"),
        ({"u_length_mm": 133.4}, "too_big", "u_length_mm"),
        ({"u_from_bridge_mm": -0.1}, "too_small", "u_from_bridge_mm"),
        ({"from_bridge_mm": 399.01}, "too_big", "from_bridge_mm"),
        ({"lift_mm": 0, "ecc_mm": 0}, "not_positive", "lift_mm"),
    ],
)
def test_what_cannot_be_is_refused(given, code, field):
    with pytest.raises(GaugeInputError) as refusal:
        run(**given)

    assert (refusal.value.code, refusal.value.field) == (code, field)


def test_the_wheel_may_stand_a_millimetre_from_the_nut():
    assert run(from_bridge_mm=399)["force_n"] > 0
    assert run(lift_mm=0)["force_n"] == 0


@pytest.mark.parametrize(
    ("given", "share"),
    [
        # Of a lift that is small, force goes with tension and lift.
        ({"u_tension_n": 4}, 0.1),
        ({"u_lift_mm": 0.1}, 0.1),
        ({"u_tension_n": 4, "u_lift_mm": 0.1}, math.hypot(0.1, 0.1)),
        # 1/a² of (1/a + 1/b) a millimetre of place, less 1/b²: (1/1600 − 1/129600) / (1/36).
        ({"u_from_bridge_mm": 1}, 0.022222),
        # 1/b² of it a millimetre of length.
        ({"u_length_mm": 1}, 0.000278),
        ({"u_tension_n": 0}, 0.0),
    ],
)
def test_the_force_is_as_sure_as_what_it_follows_from(given, share):
    found = run(lift_mm=1, **given)

    assert found["u_force_n"] == pytest.approx(found["force_n"] * share, rel=0.005, abs=1e-12)


def test_no_swelling_without_a_lift():
    assert force.swelling_pct(0.05, 0.5) == pytest.approx(10)
    for lift in (0.0, -1.0):
        with pytest.raises(GaugeInputError) as refusal:
            force.swelling_pct(0.05, lift)
        assert (refusal.value.code, refusal.value.field) == ("not_positive", "lift_mm")
        assert refusal.value.details["value"] == f"{lift:g}"
