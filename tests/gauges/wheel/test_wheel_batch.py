"""Thousands of wheels in step say what each says alone."""

from __future__ import annotations

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel.batch import fit_many
from repairs.gauges.wheel.fit import fit

SIGMA_MM = 0.005


def wheels(count, readings, gaps, seed):
    rng = np.random.default_rng(seed)
    angles = (10 + 360 * np.arange(readings) / readings) % 360
    r = rng.normal(0, SIGMA_MM, (count, readings))
    for order, most in ((1, 0.4), (2, 0.1), (5, 0.03)):
        high = rng.uniform(0, 2 * np.pi, (count, 1))
        r += rng.uniform(0, most, (count, 1)) * np.cos(order * np.radians(angles) - high)
    r = r.round(2)
    for one in r:
        one[rng.choice(readings, rng.integers(0, gaps + 1), replace=False)] = np.nan
    return angles, r


def alone(angles, readings):
    present = np.isfinite(readings)
    order = np.argsort(angles[present])
    return fit(np.radians(angles[present][order]), readings[present][order], SIGMA_MM)


@pytest.mark.parametrize(
    ("readings", "gaps"), [(8, 0), (12, 3), (24, 0), (24, 8), (36, 12), (72, 24)]
)
def test_a_batch_agrees_with_each_wheel_alone(readings, gaps):
    angles, r = wheels(60, readings, gaps, seed=readings + gaps)

    batch = fit_many(angles, r, SIGMA_MM)

    for number, one in enumerate(r):
        single = alone(angles, one)
        assert {
            "tir_mm": batch.tir_mm[number],
            "ecc_mm": batch.ecc_mm[number],
            "u_ecc_mm": batch.u_ecc_mm[number],
            "oval_amp_mm": batch.oval_amp_mm[number],
            "u_oval_amp_mm": batch.u_oval_amp_mm[number],
            "lsc_roundness_mm": batch.lsc_roundness_mm[number],
            "mz_roundness_mm": batch.mz_roundness_mm[number],
            "inner": batch.inner_mean_mm[number],
            "outer": batch.outer_mean_mm[number],
            "noise_mm": batch.noise_mm[number],
        } == pytest.approx(
            {
                "tir_mm": single.tir_mm,
                "ecc_mm": single.joint[0].amp_mm,
                "u_ecc_mm": single.joint[0].u_amp_mm,
                "oval_amp_mm": single.joint[1].amp_mm,
                "u_oval_amp_mm": single.joint[1].u_amp_mm,
                "lsc_roundness_mm": single.lsc.roundness_mm,
                "mz_roundness_mm": single.zone.width,
                "inner": single.inner.mean if single.inner else np.nan,
                "outer": single.outer.mean if single.outer else np.nan,
                "noise_mm": single.noise_mm,
            },
            abs=1e-12,
            nan_ok=True,
        )


def test_wheels_with_half_a_turn_open_are_fitted_with_fewer_harmonics():
    angles, r = wheels(20, 24, 0, seed=1)
    r[::2, 11:] = np.nan

    batch = fit_many(angles, r, SIGMA_MM)

    assert np.isnan(batch.inner_mean_mm[::2]).all()
    assert np.isfinite(batch.inner_mean_mm[1::2]).all()
    for number in (0, 1):
        single = alone(angles, r[number])
        assert batch.ecc_mm[number] == pytest.approx(single.joint[0].amp_mm, abs=1e-12)


def test_no_wheel_is_no_figure():
    angles, r = wheels(0, 24, 0, seed=1)

    assert len(fit_many(angles, r, SIGMA_MM).ecc_mm) == 0


def test_a_wheel_with_too_few_readings_is_named():
    angles, r = wheels(5, 24, 0, seed=1)
    r[3, 7:] = np.nan

    with pytest.raises(
        GaugeInputError, match=r"readings_mm has 7 values and needs at least 8"
    ) as no:
        fit_many(angles, r, SIGMA_MM)

    assert no.value.row == 4


def test_shapes_must_fit():
    angles, r = wheels(5, 24, 0, seed=1)

    with pytest.raises(GaugeInputError, match="readings_mm has 5x24 values and angles_deg has 23"):
        fit_many(angles[1:], r, SIGMA_MM)
