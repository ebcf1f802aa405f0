"""Many wheels in step: every figure, uneven gaps and ties as each wheel says them alone."""

import math

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel.batch import NAMES, fit_many
from repairs.gauges.wheel.batch_circles import inscribed_means, zones
from repairs.gauges.wheel.fit import fit
from repairs.gauges.wheel.inscribed import inscribed
from repairs.gauges.wheel.roundness import minimum_zone

SIGMA = 0.005


def steps(count):
    return (360 * np.arange(count) / count).astype(np.float64)


def alone(theta, r):
    """The figures of one wheel by its own fit, under the names of the batch."""
    one = fit(theta, r, SIGMA)
    off, oval = one.joint[0], one.joint[1] if len(one.joint) > 1 else None
    return {
        "n": one.count,
        "tir_mm": one.tir_mm,
        "least_mm": one.least_mm,
        "noise_mm": one.noise_mm,
        "ecc_mm": off.amp_mm,
        "u_ecc_mm": off.u_amp_mm,
        "high_spot_deg": off.high_deg,
        "oval_amp_mm": oval.amp_mm if oval else math.nan,
        "u_oval_amp_mm": oval.u_amp_mm if oval else math.nan,
        "lsc_ecc_mm": one.lsc.offset.amp_mm,
        "lsc_high_spot_deg": one.lsc.offset.high_deg,
        "lsc_roundness_mm": one.lsc.roundness_mm,
        "mz_roundness_mm": one.zone.width,
        "inner_mean_mm": one.inner.mean if one.inner else math.nan,
        "outer_mean_mm": one.outer.mean if one.outer else math.nan,
    }


@pytest.mark.parametrize(
    ("places", "kept", "lobe_mm"),
    [(8, 8, 0.002), (12, 8, 0.01), (16, 16, 0.02), (20, 16, 0.001), (20, 16, 0.02)],
)
def test_every_figure_is_that_of_the_wheel_alone(places, kept, lobe_mm):
    chance = np.random.default_rng(places + kept)
    angles = (360 * np.arange(places) / places + 350)[::-1]  # beyond a turn, and backwards
    high = chance.uniform(0, 2 * np.pi, (24, 1))
    turns = np.radians(angles)
    r = 0.2 * np.cos(turns - high) + 0.05 * np.cos(2 * turns + high)
    r += lobe_mm * np.cos(7 * turns) + chance.normal(0, 0.003, r.shape)
    for one in r:
        one[chance.choice(places, places - kept, replace=False)] = np.nan

    batch = fit_many(angles, r, SIGMA)

    for number, one in enumerate(r):
        present = np.flatnonzero(np.isfinite(one))
        order = present[np.argsort(angles[present] % 360)]
        wanted = alone(np.radians(angles[order] % 360), one[order])
        found = {name: getattr(batch, name)[number] for name in NAMES}
        assert found == pytest.approx(wanted, abs=1e-9, nan_ok=True)


def test_wheels_that_are_read_on_an_arc_only_are_fitted_alone():
    angles = steps(72)
    r = np.full((3, 72), np.nan)
    for number, last in enumerate((72, 16, 46)):
        r[number, :last] = 0.2 * np.cos(np.radians(angles[:last]) - number)

    batch = fit_many(angles, r, SIGMA)

    assert batch.n.tolist() == [72, 16, 46]
    for number, last in enumerate((72, 16, 46)):
        wanted = alone(np.radians(angles[:last]), r[number, :last])
        found = {name: getattr(batch, name)[number] for name in NAMES}
        assert found == pytest.approx(wanted, abs=1e-9, nan_ok=True)
    assert np.isnan(batch.oval_amp_mm).tolist() == [False, True, False]
    assert np.isnan(batch.outer_mean_mm).tolist() == [False, True, False]


@pytest.mark.parametrize(
    ("readings", "sigma", "code", "field", "row"),
    [
        (np.zeros(24), SIGMA, "unequal", "readings_mm", None),
        (np.zeros((2, 23)), SIGMA, "unequal", "readings_mm", None),
        (np.zeros((2, 3, 24)), SIGMA, "unequal", "readings_mm", None),
        (np.full((2, 24), np.nan), SIGMA, "too_few", "readings_mm", 1),
        (np.zeros((2, 24)), 0, "not_positive", "sigma_mm", None),
        (np.zeros((2, 24)), 1.01, "too_big", "sigma_mm", None),
    ],
)
def test_what_is_no_batch_is_refused(readings, sigma, code, field, row):
    with pytest.raises(GaugeInputError) as refusal:
        fit_many(steps(24), readings, sigma)

    assert (refusal.value.code, refusal.value.field, refusal.value.row) == (code, field, row)


def test_a_wheel_without_any_shape_is_as_sure_as_another():
    found = fit_many(steps(24), np.full((2, 24), 0.3), SIGMA)

    assert found.ecc_mm.tolist() == [0, 0]
    assert found.u_ecc_mm == pytest.approx([SIGMA * math.sqrt(2 / 24)] * 2)
    assert found.u_oval_amp_mm == pytest.approx([SIGMA * math.sqrt(2 / 24)] * 2)


def test_eight_readings_are_enough_for_a_batch():
    r = np.cos(np.radians(steps(8)))[None, :]

    found = fit_many(steps(8), r, 1.0)

    assert found.n.tolist() == [8]
    assert found.ecc_mm == pytest.approx([1])


def test_more_wheels_than_are_held_in_memory_together():
    angles = steps(8)
    sizes = np.linspace(0.1, 0.3, 1001)

    found = fit_many(angles, sizes[:, None] * np.cos(np.radians(angles)), SIGMA)

    assert found.ecc_mm == pytest.approx(sizes)


@pytest.mark.parametrize("kept", [5, 6, 8])
def test_ties_and_gaps_are_decided_alike(kept):
    chance = np.random.default_rng(kept)
    theta = np.array([np.sort(chance.choice(12, kept, replace=False)) for _ in range(250)])
    theta = theta * math.radians(30) + 0.1
    r = (chance.integers(-2, 3, theta.shape) * 0.01).astype(np.float64)
    cos, sin = np.cos(theta), np.sin(theta)

    widths, means = zones(cos, sin, r), inscribed_means(cos, sin, r)

    for number in range(len(r)):
        turn = cos[number], sin[number], r[number]
        assert widths[number] == pytest.approx(minimum_zone(*turn).width, abs=1e-12)
        inner = inscribed(*turn)
        mean = math.nan if inner is None else inner.mean
        assert means[number] == pytest.approx(mean, abs=1e-12, nan_ok=True)
    assert np.isnan(means).any() == (kept < 8)
