"""The fit of bridge and nut on figures so clean that its weights and doubts follow by hand."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.special import logsumexp
from scipy.stats import multivariate_normal

from repairs.gauges.keys.robust import _robust
from repairs.gauges.keys.scalefit import LEAST_KEYS, fit_scale
from repairs.gauges.keys.temperament import TEMPERAMENTS
from tests.gauges.keys.asking import run

JUST = TEMPERAMENTS["just"]


def wanted(count):
    return np.array([JUST.at(step) for step in range(1, count + 1)])


def dense_log_evidence(off, free, *, length=345.0, u=0.5, u_open=0.5):
    """The same by whole covariances and scipy's normal density: prior, grid and all by hand.

    ``free``: nut, bridge, press. The model is linear where nothing is off.
    """
    ratios = 2.0 ** (wanted(len(off)) / 1200.0)
    cents = 1200.0 / math.log(2.0)
    columns = (
        np.ones(len(off)) * cents * 1.5 / length,
        cents * (1.0 - ratios) * 2.5 / length,
        ratios**2 / (ratios - 1.0),
    )
    densities = []
    for share, place in itertools.product(1.35 ** np.arange(8), (0, 0.06, 0.12, 0.25, 0.5, 1.0)):
        covariance = np.diag((u * share) ** 2 + (place * cents * ratios / length) ** 2)
        covariance = covariance + u_open**2
        for is_free, column in zip(free, columns, strict=True):
            covariance = covariance + is_free * np.outer(column, column)
        densities.append(multivariate_normal(np.zeros(len(off)), covariance).logpdf(off))
    return logsumexp(densities) - math.log(len(densities))


def test_the_weights_of_the_explanations_are_those_of_whole_covariances():
    # Where nothing is off, the fuller explanation pays for what it might have explained.
    free = list(itertools.product((0, 1), repeat=3))
    logs = np.array([dense_log_evidence(np.zeros(23), one) for one in free])
    shares = dict(zip(free, 100.0 * np.exp(logs - logsumexp(logs)), strict=True))

    fit = fit_scale(wanted(23), np.zeros(23), 345.0, 0.5, 0.5)

    assert fit is not None
    assert fit.explanation == "right"
    names: dict[tuple[int, ...], str] = {
        (0, 0, 0): "right", (1, 0, 0): "nut", (0, 1, 0): "bridge", (1, 1, 0): "bridge_and_nut",
        (0, 0, 1): "pressed", (1, 0, 1): "nut_and_pressed", (0, 1, 1): "bridge_and_pressed",
        (1, 1, 1): "bridge_nut_and_pressed",
    }  # fmt: skip
    assert fit.weights_pct == pytest.approx({names[k]: v for k, v in shares.items()}, abs=1e-6)
    assert fit.scale_wrong_pct == pytest.approx(100.0 - shares[0, 0, 0], abs=1e-6)
    assert fit.bridge_wrong_pct == pytest.approx(
        sum(v for k, v in shares.items() if k[1]), abs=1e-6
    )
    assert fit.pressed_pct == pytest.approx(sum(v for k, v in shares.items() if k[2]), abs=1e-6)
    assert (fit.bridge_mm, fit.u_bridge_mm, fit.nut_mm, fit.u_nut_mm) == (None,) * 4
    assert (fit.effective_length_mm, fit.u_effective_length_mm) == (None, None)
    assert (fit.offset_cents, fit.u_offset_cents) == (0.0, 0.0)
    # The open string's own doubt is all that the rest carries.
    assert fit.u_fitted_cents.tolist() == pytest.approx([0.5] * 23)
    assert (fit.rms_before_cents, fit.rms_after_cents) == (0.0, 0.0)
    assert fit.set_aside == ()


def test_without_the_open_string_a_nut_cannot_be_told_from_its_tuning():
    fit = fit_scale(wanted(23), np.zeros(23), 345.0, 0.5, None)

    assert fit is not None
    assert set(fit.weights_pct) == {
        "right", "offset", "bridge_and_offset", "pressed", "offset_and_pressed",
        "bridge_offset_and_pressed",
    }  # fmt: skip
    assert fit.explanation == "right"
    assert fit.u_fitted_cents.tolist() == pytest.approx([0.0] * 23)


def test_a_nut_is_read_off_a_constant():
    # All of seven keys are 5.0254 flat, which is 1 mm of 344: t = −1/345, the open part 344/345.
    # The mean of seven readings of 0.5 with the shared 0.5: √(0.25/7 + 0.25) = 0.534522 cents,
    # of 1731.234·345/344 for all of t: 3.078567e-4 of 345 mm = 0.106211 mm. Its scatter is known
    # from the same seven only, so it is wider than that.
    fit = fit_scale(wanted(7), np.full(7, -5.0254), 345.0, 0.5, 0.5)

    assert fit is not None and fit.explanation == "nut"
    assert fit.nut_mm == pytest.approx(1.0, abs=1e-3)
    assert fit.u_nut_mm is not None and 0.10621 < fit.u_nut_mm < 0.25
    assert fit.offset_cents == pytest.approx(-5.0254, abs=1e-4)
    # A free constant takes up the open string: less than its 0.5 is left in doubt.
    assert max(fit.u_fitted_cents) < 0.35
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
        sum(share for name, share in fit.weights_pct.items() if "bridge" in name)
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
    # 1.4826·(1 + 5/(7 − 2))·3 for seven with the middle 3, alike on all keys.
    left = np.array([1.0, -1, 2, 3, -4, 9, 9])
    assert _robust(left, 0.5, None, 2).tolist() == pytest.approx([1.4826 * 2 * 3] * 7)
    assert _robust(left, 9.0, None, 2).tolist() == [9.0] * 7
    # Where a millimetre is 10 cents, a middle of 0.3 mm beside the reading's own doubt.
    beside = _robust(left, 0.5, np.full(7, 10.0), 2)
    assert beside.tolist() == pytest.approx([math.hypot(0.5, 1.4826 * 2 * 3)] * 7)


def test_the_constant_of_an_open_string_that_was_not_read_is_first_to_be_read():
    answer = run(keys=23, reading="off_wanted", measured_cents=[4.0] * 23)

    (step,) = answer["first"]
    assert (step["code"], step["unit"], step["string"]) == ("read_open_string", "cents", "1")
    assert step["amount"] == pytest.approx(-4.0)
    # The mean of 23 readings of 0.5 is 0.104257; the scatter is not known better than that.
    assert 0.104257 < step["u"] < 0.2
    assert answer["strings"][0]["keys"][3]["u_off_cents"] == 0.5
