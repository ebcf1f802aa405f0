"""The fit of bridge and nut on figures so clean that its weights and doubts follow by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from repairs.gauges.keys.scalefit import LEAST_KEYS, _keep, _robust, fit_scale
from repairs.gauges.keys.temperament import TEMPERAMENTS
from tests.gauges.keys.asking import run

JUST = TEMPERAMENTS["just"]


def wanted(count):
    return np.array([JUST.at(step) for step in range(1, count + 1)])


def test_a_scale_without_any_error_weighs_its_explanations_by_their_number_of_unknowns():
    # Nothing is left for any, so BIC is p·ln 23: shares 1, 23^−½ = 0.208514 twice, 1/23 = 0.043478,
    # together 1.460506: 68.469 %, 14.277 % twice, 2.977 %.
    fit = fit_scale(wanted(23), np.zeros(23), 345.0, 0.5, 0.5)

    assert fit is not None
    assert fit.explanation == "right"
    assert fit.weights_pct == pytest.approx(
        {"right": 68.469, "nut": 14.277, "bridge": 14.277, "bridge_and_nut": 2.977}, abs=1e-3
    )
    assert fit.sure_pct == pytest.approx(68.469, abs=1e-3)
    assert fit.scale_wrong_pct == pytest.approx(31.531, abs=1e-3)
    assert fit.bridge_wrong_pct == pytest.approx(17.254, abs=1e-3)
    assert (fit.bridge_mm, fit.u_bridge_mm, fit.nut_mm, fit.u_nut_mm) == (None,) * 4
    assert (fit.effective_length_mm, fit.u_effective_length_mm) == (None, None)
    assert (fit.offset_cents, fit.u_offset_cents) == (0.0, 0.0)
    # The open string's own doubt is all that the rest carries.
    assert fit.u_fitted_cents.tolist() == pytest.approx([0.5] * 23)
    assert (fit.scatter_cents, fit.rms_before_cents, fit.rms_after_cents) == (0.5, 0.0, 0.0)
    assert fit.set_aside == ()


def test_without_the_open_string_there_are_three_explanations():
    # 1 + 0.208514 + 0.043478 = 1.251992.
    fit = fit_scale(wanted(23), np.zeros(23), 345.0, 0.5, None)

    assert fit is not None
    assert fit.weights_pct == pytest.approx(
        {"right": 79.873, "offset": 16.655, "bridge_and_offset": 3.473}, abs=1e-3
    )
    assert fit.bridge_wrong_pct == pytest.approx(3.473, abs=1e-3)
    assert fit.u_fitted_cents.tolist() == pytest.approx([0.0] * 23)


def test_the_doubt_of_a_nut_is_that_of_the_mean_and_of_the_open_string():
    # All of seven keys are 5.0254 flat, which is 1 mm of 344: t = −1/345, the open part 344/345.
    # The mean of seven readings of 0.5 with the shared 0.5: √(0.25/7 + 0.25) = 0.534522 cents,
    # of 1731.234·345/344 for all of t: 3.078567e-4 of 345 mm = 0.106211 mm.
    fit = fit_scale(wanted(7), np.full(7, -5.0254), 345.0, 0.5, 0.5)

    assert fit is not None and fit.explanation == "nut"
    assert fit.nut_mm == pytest.approx(1.0, abs=1e-3)
    assert fit.u_nut_mm == pytest.approx(0.10621, abs=2e-5)
    assert fit.offset_cents == pytest.approx(-5.0254, abs=1e-4)
    assert fit.u_offset_cents == pytest.approx(0.534522, abs=1e-5)
    # A free constant takes up the open string: only the mean's 0.5/√7 is left in doubt.
    assert fit.u_fitted_cents.tolist() == pytest.approx([0.188982] * 7, abs=1e-5)
    assert fit.fitted_cents.tolist() == pytest.approx([-5.0254] * 7, abs=1e-6)
    assert fit.rms_before_cents == pytest.approx(5.0254)
    assert fit.rms_after_cents == pytest.approx(0.0, abs=1e-6)
    assert (fit.bridge_mm, fit.effective_length_mm) == (None, None)


def test_a_bridge_2_mm_too_far_lengthens_the_string_by_2():
    # Tangents at 345 − 345/r; 347 sound: e = 1200·log₂(347·r/(345 + 2·r)).
    ratios = 2 ** (wanted(23) / 1200)
    off = 1200 * np.log2(347 * ratios / (345 + 2 * ratios)) - wanted(23)

    fit = fit_scale(wanted(23), off, 345.0, 0.5, 0.5)

    assert fit is not None and fit.explanation == "bridge"
    assert fit.bridge_mm == pytest.approx(2.0, abs=1e-6)
    assert fit.effective_length_mm == pytest.approx(347.0, abs=1e-6)
    assert fit.u_effective_length_mm == fit.u_bridge_mm
    # The constant part is that of the open string: 1731.234·ln(347/345) = 10.0071.
    assert fit.offset_cents == pytest.approx(10.0071, abs=1e-4)
    assert fit.rms_before_cents == pytest.approx(math.sqrt(float(np.mean(off**2))))
    assert fit.rms_after_cents == pytest.approx(0.0, abs=1e-6)
    assert fit.sure_pct == fit.weights_pct["bridge"]
    assert fit.bridge_wrong_pct == pytest.approx(
        fit.weights_pct["bridge"] + fit.weights_pct["bridge_and_nut"]
    )
    assert fit.nut_mm is None and fit.u_nut_mm is None


def test_six_keys_are_the_fewest_that_tell_a_scale():
    assert LEAST_KEYS == 6
    assert fit_scale(wanted(5), np.full(5, 4.0), 345.0, 0.5, 0.5) is None
    assert fit_scale(wanted(6), np.full(6, 4.0), 345.0, 0.5, 0.5) is not None


def test_a_bridge_further_off_than_three_tenths_is_a_length_typed_wrongly():
    # All keys a wholly different scale: the fit stops at 0.3 of the length, here 300 of 1000 mm.
    off = 600.0 * (1.0 - 2 ** (-wanted(12) / 1200))

    fit = fit_scale(wanted(12), off, 1000.0, 0.5, 0.5)

    assert fit is not None
    for value in (fit.bridge_mm, fit.nut_mm):
        assert value is None or abs(value) <= 300.0 + 1e-6


def test_the_robust_scatter_by_hand():
    # 1.4826·(1 + 5/(7 − 2))·3 for seven with the middle 3.
    assert _robust(np.array([1.0, -1, 2, 3, -4, 9, 9]), 0.5) == pytest.approx(1.4826 * 2 * 3)
    assert _robust(np.array([1.0, -1, 2, 3, -4, 9, 9]), 9.0) == 9.0
    assert _robust(np.zeros(12), 0.5) == 0.5


def test_the_scatter_of_the_kept_keys_by_hand():
    # Ratios 1 … 8 with +d and −d in a pattern that no line of bridge and nut can follow
    # (+ − − + + − − +): nothing is fitted, so Σ = 8·d², over 8 − 2, and 1 + 3/8 for what hides.
    ratios = np.array([1.0, 2, 3, 4, 5, 6, 7, 8])
    off = 0.01 * np.array([1.0, -1, -1, 1, 1, -1, -1, 1])

    kept, scatter = _keep(ratios, off, 0.001)

    assert kept.tolist() == list(range(8))
    assert scatter == pytest.approx(0.01 * math.sqrt(8 / 6) * 1.375, rel=0.02)
    assert _keep(ratios, off, 0.5)[1] == 0.5


def test_the_constant_of_an_open_string_that_was_not_read_is_first_to_be_read():
    answer = run(keys=23, reading="off_wanted", measured_cents=[4.0] * 23)

    (step,) = answer["first"]
    assert (step["code"], step["unit"], step["string"]) == ("read_open_string", "cents", "1")
    assert step["amount"] == pytest.approx(-4.0)
    # The mean of 23 readings of 0.5: 0.104257.
    assert step["u"] == pytest.approx(0.104257, abs=1e-4)
    assert answer["strings"][0]["keys"][3]["u_off_cents"] == 0.5
    assert answer["strings"][0]["keys"][3]["u_off_after_cents"] == pytest.approx(
        math.hypot(0.5, 0.104257), abs=1e-4
    )
