"""Every figure of wheels so plain that they can be worked by hand."""

import math

import pytest

from repairs.gauges.wheel import gauge as wheel
from tests.gauges.wheel.wheel_shapes import both, off_axle, oval, turn

ALL_DONE = {"cleaned": True, "acclimatised": True, "recentred": True, "leave": True}
# Two high and two low spots of 0.1 mm, 24 readings of 0.005 mm each, 170 mm known to 0.02 mm.
U_COEFFICIENT = 0.005 * math.sqrt(2 / 24)
U_TWO_READINGS = 0.005 * math.sqrt(2)
# The least reading against the mean of all 24: its own noise less what it has in the mean.
U_LEFT = 2 * math.hypot(0.01, 0.005 * math.sqrt(23 / 24))
# The inscribed circle stands on two readings, each of them half: ½ of the variance, less 1/24.
U_INNER = 2 * math.hypot(0.01, 0.005 * math.sqrt(1 / 2 - 1 / 24))
OVAL = {
    "n": 24,
    "read_tir_mm": 0.2,
    "ecc_mm": 0,
    "u_ecc_mm": U_COEFFICIENT,
    "oval_amp_mm": 0.1,
    "u_oval_amp_mm": U_COEFFICIENT,
    "u_oval_high_deg": math.degrees(U_COEFFICIENT / 0.1 / 2),
    "residual_mm": 0,
    "noise_mm": 0.005,
    "lsc_ecc_mm": 0,
    "u_lsc_ecc_mm": U_COEFFICIENT,
    "read_lsc_roundness_mm": 0.2,
    "lsc_peak_mm": 0.1,
    "lsc_valley_mm": 0.1,
    "lsc_rms_mm": 0.1 / math.sqrt(2),
    "mz_roundness_mm": 0.2,
    "u_mz_roundness_mm": 2 * 0.005 * math.sqrt(4 / 16),  # four readings, each a quarter
    "mz_ecc_mm": 0,
    "mic_diameter_mm": 169.8,
    "u_mic_diameter_mm": U_INNER,
    "mic_roundness_mm": 0.2,
    "u_mic_roundness_mm": U_TWO_READINGS,
    "mic_ecc_mm": 0,
    "mcc_diameter_mm": 170.2,
    "u_mcc_diameter_mm": U_INNER,
    "mcc_roundness_mm": 0.2,
    "u_mcc_roundness_mm": U_TWO_READINGS,
    "mcc_ecc_mm": 0,
    "diameter_left_mm": 169.8,
    "u_diameter_left_mm": U_LEFT,
    "recentred_radial_depth_mm": 0.2,
    "u_recentred_radial_depth_mm": U_TWO_READINGS,
    "recentred_diameter_left_mm": 169.8,
    "u_recentred_diameter_left_mm": U_INNER,
    "widest_gap_deg": 15,
}
UNASKED = (
    "high_spot_deg", "u_high_spot_deg", "lsc_high_spot_deg", "u_lsc_high_spot_deg",
    "plane_mz_roundness_mm", "plane_recentred_diameter_left_mm", "axial_runout_mm",
    "u_axial_runout_mm", "axial_wobble_mm", "u_axial_wobble_mm", "axial_high_spot_deg",
    "u_axial_high_spot_deg", "axial_tilt_deg", "repeat_sigma_mm", "asynchronous_mm",
    "swelling_pct", "u_swelling_pct", "oval_swelling_pct", "u_oval_swelling_pct", "lift_after_mm",
)  # fmt: skip


def test_an_oval_wheel():
    found = wheel.run(turn(oval))

    assert {name: found[name] for name in OVAL} == pytest.approx(OVAL, abs=1e-9)
    assert {name for name in found if found[name] is None} == set(UNASKED)
    assert found["oval_high_deg"] % 180 == pytest.approx(0, abs=1e-6) or found[
        "oval_high_deg"
    ] == pytest.approx(180, abs=1e-6)
    assert found["warnings"] == ["angle_not_sure"]


# The range of A·cos 2θ is 2A, and A is known to u = 0.005·√(2/24): a 95 % interval of 2·1.96·2u.
RANGE_MM = 4 * 1.96 * U_COEFFICIENT


def test_run_out_and_roundness_of_an_oval_wheel():
    found = wheel.run(turn(oval))

    for name in ("tir", "lsc_roundness"):
        low, high = found[f"{name}_low_mm"], found[f"{name}_high_mm"]
        assert found[f"{name}_mm"] == pytest.approx(0.2, abs=0.0015)
        # Somewhat wider: there may be lobes that hide in the noise.
        assert RANGE_MM <= high - low <= 1.5 * RANGE_MM
        assert 0.2 - 0.6 * RANGE_MM < low < 0.2 < high
        assert found[f"u_{name}_mm"] == pytest.approx((high - low) / 3.92, rel=1e-4)


def test_cutting_an_oval_wheel():
    found = wheel.run(turn(oval, **ALL_DONE))["prescription"]

    assert (found["need"], found["consent_of_its_own"]) == ("true_it", True)
    assert found["recentre"] is None
    whole = wheel.run(turn(oval, **ALL_DONE))
    assert found["turn"] == pytest.approx(
        {
            "depth_mm": whole["tir_mm"],
            "u_depth_mm": whole["u_tir_mm"],
            "diameter_left_mm": 169.8,
            "u_diameter_left_mm": U_LEFT,
            "lift_lost_mm": 0.1,
            "lift_lost_at_high_spot_mm": 0.2,
        }
    )


def test_what_cutting_would_leave_after_centring_is_the_inscribed_circle():
    found = wheel.run(turn(both, rim="original"))

    # An oval of 0.06 mm stays.
    assert found["recentred_radial_depth_mm"] == pytest.approx(0.12)
    assert found["recentred_diameter_left_mm"] == pytest.approx(169.88)
    assert found["u_recentred_diameter_left_mm"] == pytest.approx(U_INNER, rel=1e-4)
    assert found["prescription"]["recentre"]["shift_mm"] == pytest.approx(0.1)
    assert not found["prescription"]["irreversible"]
    assert found["prescription"]["consent_of_its_own"]


def test_centring_alone_cuts_nothing_of_an_original_rim():
    found = wheel.run(turn(off_axle, rim="original", lift_mm=1.5))

    assert not found["prescription"]["irreversible"]
    assert not found["prescription"]["consent_of_its_own"]
    assert found["lift_after_mm"] == 1.5
    assert found["warnings"] == []
    assert found["high_spot_deg"] == pytest.approx(60)
    assert found["u_high_spot_deg"] == pytest.approx(math.degrees(U_COEFFICIENT / 0.1))
    assert found["lsc_high_spot_deg"] == pytest.approx(60)
    assert found["u_lsc_high_spot_deg"] == pytest.approx(math.degrees(U_COEFFICIENT / 0.1))


def test_a_lift_that_is_cut_away_is_none_left():
    assert wheel.run(turn(oval, lift_mm=0.08, **ALL_DONE))["lift_after_mm"] == 0
    assert wheel.run(turn(oval, lift_mm=0.35, **ALL_DONE))["lift_after_mm"] == pytest.approx(0.25)
    assert wheel.run(turn(oval, lift_mm=0.35))["lift_after_mm"] == 0.35  # nothing is cut yet


def test_lobes_stand_in_their_order_with_their_high_spots():
    found = wheel.run(
        turn(
            lambda t: (
                0.2 * math.cos(t)
                + 0.03 * math.cos(3 * (t - math.radians(100)))
                + 0.01 * math.cos(5 * (t - math.radians(50)))
            )
        )
    )["lobes"]

    assert [one["order"] for one in found] == [3, 4, 5, 6, 7, 8]
    assert [one["amp_mm"] for one in found] == pytest.approx([0.03, 0, 0.01, 0, 0, 0], abs=1e-9)
    assert found[0]["high_deg"] == pytest.approx(100)
    assert found[2]["high_deg"] == pytest.approx(50)
    # An amplitude of nothing has no angle.
    assert [one["high_deg"] for one in found[3:]] == [None, None, None]
    assert [one["u_high_deg"] for one in found[3:]] == [None, None, None]


def test_a_large_offset_widens_the_diameter_by_its_departure_from_the_circle():
    found = wheel.run(turn(lambda t: math.cos(t) + oval(t)))

    # e²/2R of 1 mm in 170 mm is at most 5.9 µm: 1/170/√3 for the radius, beside the noise.
    own = 0.005 * math.sqrt(1 / 2 - 1 / 24)
    assert found["mic_ecc_mm"] == pytest.approx(1)
    assert found["u_mic_diameter_mm"] == pytest.approx(
        2 * math.hypot(0.01, own, 1 / 170 / math.sqrt(3))
    )
    # In the plane both low places stand √(84.9² + 1²) from the centre: 169.8118 mm, and a little
    # more, as the circle moves on until a third one holds it.
    assert found["plane_recentred_diameter_left_mm"] == pytest.approx(169.8128, abs=0.001)


def test_three_readings_hold_an_inscribed_circle():
    # Nought at 0°, 90° and 225°, 0.2 mm at 180°, 0.1 mm elsewhere: the mean of eight is 0.075.
    readings = [0.0, 0.1, 0.0, 0.1, 0.2, 0.0, 0.1, 0.1]

    found = wheel.run({"readings_mm": readings, "mean_diameter_mm": 170, "gauge_sigma_mm": 0.005})

    # The weights of the mean are w, w and w·√2 with w = 1/(2 + √2); at 180° the circle reads
    # −0.414214, 0.585786 and 0.828427 of the three.
    w = 1 / (2 + math.sqrt(2))
    gain = 4 * w * w
    assert found["mic_diameter_mm"] == pytest.approx(170 - 0.15)
    assert found["u_mic_diameter_mm"] == pytest.approx(
        2 * math.hypot(0.01, 0.005 * math.sqrt(gain - 1 / 8))
    )
    assert found["mic_roundness_mm"] == pytest.approx(0.2)
    assert found["u_mic_roundness_mm"] == pytest.approx(
        0.005 * math.hypot(1, 0.414214, 0.585786, 0.828427), rel=1e-5
    )
    assert found["mic_ecc_mm"] == pytest.approx(0, abs=1e-12)


def test_the_side_face_stands_beside_the_rim():
    side = [0.2 * math.cos(math.radians(15 * place - 90)) for place in range(24)]

    found = wheel.run(turn(off_axle, axial_mm=side))
    faint = wheel.run(turn(off_axle, axial_mm=[0.1 * (place % 2) for place in range(24)]))

    assert found["u_axial_runout_mm"] == pytest.approx(U_TWO_READINGS)
    assert found["u_axial_wobble_mm"] == pytest.approx(U_COEFFICIENT)
    assert found["u_axial_high_spot_deg"] == pytest.approx(math.degrees(U_COEFFICIENT / 0.2))
    assert (faint["axial_high_spot_deg"], faint["u_axial_high_spot_deg"]) == (None, None)
    assert faint["axial_runout_mm"] == pytest.approx(0.1)
