"""Return of a key: by hand, by simulation of a sliding block, and by Monte Carlo."""

from __future__ import annotations

import math

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.gauges.keys.falling import return_mn


def run(**asked):
    return gauges()["key_return"].run(
        {"mass_g": 10.0, "slides_deg": [30.0], "playing_deg": 60.0} | asked
    )


def test_by_hand_a_key_of_10_g_that_slides_at_30_degrees():
    # μ = tan 30° = 0.57735; at 60°: 10·9.80665·(sin 60° − 0.57735·cos 60°)
    # = 98.0665·(0.866025 − 0.288675) = 56.6187 mN.
    found = run()

    assert found["friction"] == pytest.approx(0.577350, abs=1e-6)
    assert found["return_mn"] == pytest.approx(56.6187, abs=1e-3)
    assert found["room_deg"] == 30.0
    assert found["return_verdict"]["word"] == "inside"
    assert found["falls_pct"] == pytest.approx(100.0)


def test_at_its_own_angle_nothing_is_left_and_below_it_stays():
    assert run(playing_deg=30.0)["return_mn"] == pytest.approx(0.0, abs=1e-9)
    assert run(playing_deg=30.0)["falls_pct"] == pytest.approx(50.0)
    stuck = run(playing_deg=20.0)
    assert stuck["return_mn"] < 0.0 and stuck["room_verdict"]["word"] == "outside"
    # Upright it has its whole weight.
    assert run(playing_deg=90.0)["return_mn"] == pytest.approx(98.0665, abs=1e-3)


@pytest.mark.parametrize("theta", [10.0, 25.0, 45.0, 80.0])
def test_a_sliding_block_reckoned_step_by_step_agrees(theta):
    # A block let go for 0.1 s on a slide of μ = tan 20°, in steps of 10 µs: v/t is the force per
    # mass where it slides, and it stays where the force is below 0.
    mu, mass, dt, speed = math.tan(math.radians(20.0)), 0.008, 1e-5, 0.0
    for _ in range(10_000):
        pull = mass * 9.80665 * math.sin(math.radians(theta))
        hold = mu * mass * 9.80665 * math.cos(math.radians(theta))
        speed = max(0.0, speed + (pull - hold) / mass * dt)

    force = return_mn({"mass_g": 8.0, "playing_deg": theta, "friction_deg": 20.0})

    assert max(0.0, force) == pytest.approx(1e3 * mass * speed / 0.1, abs=1e-3)


def test_its_doubt_is_that_of_a_hundred_thousand_trials():
    # JCGM 101:2008: the same inputs drawn, the law applied to each.
    rng = np.random.default_rng(1)
    phi = np.radians(rng.normal(19.0, 1.2 / math.sqrt(3), 100_000))
    theta = np.radians(rng.normal(45.0, 1.2, 100_000))
    mass = rng.normal(9.5, 0.1, 100_000)
    trials = mass * 9.80665 * np.sin(theta - phi) / np.cos(phi)

    found = run(
        mass_g=9.5, slides_deg=[19.0, 19.0, 19.0], playing_deg=45.0, u_angle_deg=1.2, u_mass_g=0.1
    )

    assert found["return_mn"] == pytest.approx(trials.mean(), rel=2e-3)
    assert found["u_return_mn"] == pytest.approx(trials.std(), rel=2e-2)
    held = np.abs(trials - found["return_mn"]) <= 1.96 * found["u_return_mn"]
    assert 0.93 <= held.mean() <= 0.97


def test_readings_that_scatter_are_believed_before_the_protractor():
    # 15, 19, 23: s = 4, over √3.
    found = run(slides_deg=[15.0, 19.0, 23.0])

    assert found["friction_deg"] == pytest.approx(19.0)
    assert found["u_friction_deg"] == pytest.approx(4.0 / math.sqrt(3.0))


def test_a_pull_on_the_balance_tells_the_same_friction():
    # Level, 10 g are moved by μ·98.0665 mN; 56.6187 is tan 30°.
    pulled = gauges()["key_return"].run(
        {"mass_g": 10.0, "pulls_mn": [56.6187], "playing_deg": 60.0, "u_pull_mn": 2.0}
    )

    assert pulled["friction_deg"] == pytest.approx(30.0, abs=1e-4)
    assert pulled["return_mn"] == pytest.approx(run()["return_mn"], abs=1e-3)
    # 2/98.0665 of a radian by cos² 30° = 0.75: 0.8764°.
    assert pulled["u_friction_deg"] == pytest.approx(0.8764, abs=1e-3)


@pytest.mark.parametrize("asked", [{"pulls_mn": [50.0]}, {"slides_deg": None}])
def test_tilts_or_pulls_and_not_both_or_none(asked):
    with pytest.raises(GaugeInputError) as refused:
        run(**asked)

    assert (refused.value.code, refused.value.field) == ("needs_one", "slides_deg, pulls_mn")


@pytest.mark.parametrize(
    ("asked", "code", "field", "row"),
    [
        ({"slides_deg": []}, "too_few", "slides_deg", None),
        ({"slides_deg": [20.0, "steep"]}, "not_a_number", "slides_deg", 2),
        ({"slides_deg": [20.0, 400.0]}, "too_big", "slides_deg", 2),
        ({"slides_deg": [-3.0]}, "too_small", "slides_deg", 1),
        ({"mass_g": 9500.0}, "too_big", "mass_g", None),
        ({"mass_g": None}, "missing", "mass_g", None),
        ({"playing_deg": 120.0}, "too_big", "playing_deg", None),
        ({"tilt": 3.0}, "unknown", "input", None),
    ],
)
def test_bad_input_is_refused_with_field_and_row(asked, code, field, row):
    with pytest.raises(GaugeInputError) as refused:
        run(**asked)

    assert (refused.value.code, refused.value.field, refused.value.row) == (code, field, row)


def test_golden_figures():
    """When this fails, the figures changed: put VERSION up, and then these."""
    found = run(mass_g=9.5, slides_deg=[18.0, 19.5], playing_deg=45.0)

    assert gauges()["key_return"].version == "key_return 1"
    assert found["return_mn"] == pytest.approx(43.5143179, rel=1e-8)
    assert found["u_return_mn"] == pytest.approx(1.87253603, rel=1e-8)
