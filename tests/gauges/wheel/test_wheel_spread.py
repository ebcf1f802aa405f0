"""How sure the fits are: by other matrices, and by hand where eight readings fold."""

import math

import numpy as np
import pytest

from repairs.gauges.wheel.fit import chi_square, fit, fourier_basis, most_lobes

SIGMA = 0.005


def even(count):
    return 2 * math.pi * np.arange(count) / count


@pytest.mark.parametrize(
    ("count", "lobes"),
    [
        (4, 1),
        (5, 1),
        (6, 2),
        (7, 2),
        (8, 3),
        (11, 3),
        (12, 4),
        (24, 8),
        (44, 14),
        (45, 15),
        (72, 15),
    ],
)
def test_a_third_of_the_readings_carries_lobes(count, lobes):
    assert most_lobes(count) == lobes


def test_the_waves_stand_side_by_side():
    (row,) = fourier_basis(np.array([math.pi / 6]), 3)

    # At 30°: cos and sin of 30°, 60° and 90°.
    root = math.sqrt(3) / 2
    assert row == pytest.approx([1, root, 0.5, 0.5, root, 0, 1], abs=1e-12)


@pytest.mark.parametrize(
    ("freedom", "normal", "value"),
    [
        (8, 1.5, 14.606310),  # by hand: 8 · (1 − 1/36 + 1.5/6)³ = 8 · (11/9)³
        (10, 1.645, 18.307),  # table of the chi-square distribution, 95 %
        (10, 3.090, 29.588),  # 99.9 %
    ],
)
def test_the_quantile_of_chi_square(freedom, normal, value):
    assert chi_square(freedom, normal) == pytest.approx(value, rel=0.006 if freedom == 10 else 1e-6)


def test_gaps_make_amplitude_and_angle_differently_sure():
    # Five sixths of a turn; what is read is what the joint fit holds, so nothing is left over.
    theta = even(24)[:20]
    r = 0.2 * np.cos(theta - 1) + 0.1 * np.cos(2 * theta - 2.5) + 0.05 * np.cos(3 * theta + 1)
    basis = np.column_stack(
        [np.ones(20)] + [wave(order * theta) for order in (1, 2, 3) for wave in (np.cos, np.sin)]
    )
    covariance = SIGMA**2 * np.linalg.inv(basis.T @ basis)

    found = fit(theta, r, SIGMA)

    assert found.residual_mm == pytest.approx(0, abs=1e-12)
    assert len(found.joint) == 3
    wanted = ((0.2, math.degrees(1)), (0.1, math.degrees(1.25)), (0.05, 120 - math.degrees(1 / 3)))
    for one, (amp, high) in zip(found.joint, wanted, strict=True):
        assert (one.amp_mm, one.high_deg) == pytest.approx((amp, high))
        pair = slice(2 * one.order - 1, 2 * one.order + 1)
        turned = math.radians(one.order * high)
        along = np.array([math.cos(turned), math.sin(turned)])
        across = np.array([-along[1], along[0]])
        part = covariance[pair, pair]
        assert one.u_amp_mm == pytest.approx(math.sqrt(along @ part @ along))
        u_angle = math.degrees(math.sqrt(across @ part @ across) / amp) / one.order
        assert one.u_high_deg == pytest.approx(u_angle)


def test_even_steps_are_as_sure_as_even_steps():
    assert fit(even(8), np.cos(even(8)), SIGMA).spread == pytest.approx(1)
    # A sixth of the turn left out: the spread is that of the worst coefficient.
    theta = even(24)[:20]
    basis = fourier_basis(theta, 3)
    worst = np.linalg.inv(basis.T @ basis).diagonal().max()
    assert fit(theta, np.cos(theta), SIGMA).spread == pytest.approx(math.sqrt(worst * 10))


def test_a_wheel_without_any_shape_has_amplitudes_of_nothing():
    found = fit(even(24), np.full(24, 0.3), SIGMA)

    assert found.mean_mm == pytest.approx(0.3)
    assert (found.least_mm, found.most_mm) == (0, 0)
    for one in found.joint:
        assert (one.amp_mm, one.high_deg) == (0, 0)
        assert one.u_amp_mm == pytest.approx(SIGMA * math.sqrt(2 / 24))
        assert one.u_high_deg == pytest.approx(180 / one.order)
    assert (found.zone.width, found.zone.steps) == (0, 1)


# ---- more noise than stated: five lobes of sixteen readings leave five degrees of freedom


@pytest.mark.parametrize(
    ("amp", "noise"),
    [
        # χ² of 5 at 99.9 % is 20.5: 8·A² against 20.5·σ², so from A = 0.0080 mm on.
        (0.0078, SIGMA),
        (0.0083, math.sqrt(8 * 0.0083**2 / 5)),
        (0.02, math.sqrt(8 * 0.02**2 / 5)),
    ],
)
def test_the_residual_is_taken_where_it_is_surely_larger(amp, noise):
    found = fit(even(16), amp * np.cos(7 * even(16)), SIGMA)

    assert found.noise_mm == pytest.approx(noise)
    # Seven of sixteen coefficients are the joint fit's: nine degrees of freedom.
    assert found.residual_mm == pytest.approx(math.sqrt(8 * amp**2 / 9))


def test_of_fifteen_readings_short_lobes_and_noise_cannot_be_told_apart():
    assert fit(even(15), 0.02 * np.cos(7 * even(15)), SIGMA).noise_mm == SIGMA


# ---- lobes that fold: 5 into 3, 6 into 2, 7 and 9 into 1 (eight readings)


def folded(amp):
    theta = even(8)
    return fit(
        theta, 0.1 * np.cos(theta) + 0.1 * np.cos(2 * theta) + amp * np.cos(4 * theta), SIGMA
    )


def test_eight_readings_are_as_unsure_as_the_lobes_that_fold_into_them():
    found = folded(0.02)

    # One degree of freedom with 8·A² = 0.0032; without the noise 0.003175, shared by six harmonics.
    excess = (0.0032 - SIGMA**2) / 6
    off, oval, third = (one.u_amp_mm for one in found.joint)
    assert off == pytest.approx(math.sqrt(SIGMA**2 / 4 + 2 * excess))
    assert oval == pytest.approx(math.sqrt(SIGMA**2 / 4 + excess))
    assert third == pytest.approx(math.sqrt(SIGMA**2 / 4 + excess))
    assert found.residual_mm == pytest.approx(math.sqrt(0.0032))
    assert found.noise_mm == SIGMA


@pytest.mark.parametrize(("amp", "is_wider"), [(0.00338, False), (0.00346, True)])
def test_what_noise_may_leave_is_not_taken_for_lobes(amp, is_wider):
    # χ² of 1 at 95 % by Wilson and Hilferty: (1 − 2/9 + 1.645·√(2/9))³ = 3.747; 8·A² / σ².
    u = folded(amp).joint[0].u_amp_mm

    assert (u > SIGMA / 2 * 1.001) is is_wider


def test_six_readings_carry_an_oval_and_no_lobes():
    found = fit(even(6), np.cos(even(6)) + 0.1 * np.cos(2 * even(6)), SIGMA)

    assert [one.order for one in found.joint] == [1, 2]
    assert found.lobes == ()
    assert found.joint[1].amp_mm == pytest.approx(0.1)
