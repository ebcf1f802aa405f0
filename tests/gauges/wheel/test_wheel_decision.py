"""What is done about a wheel: each threshold exactly there, and just beside it."""

import math
from typing import Any

import pytest

from repairs.gauges.wheel import advice, decision
from repairs.gauges.wheel.decision import Done, Form, Rule
from repairs.gauges.wheel.fitted import Harmonic, LeastSquares, WheelFit
from repairs.gauges.wheel.force import StringOnWheel
from repairs.gauges.wheel.roundness import Touch
from repairs.gauges.wheel.runout import Spread

NO_TOUCH = Touch(0.0, 0.0, 0.0, 0.0, (), (), 1)


def rim(*, ecc=0.001, u_ecc=1e-6, high=60.0, tir=0.5, form=0.1, noise=1e-6, plain_ecc=None, **more):
    """A fit of exactly these figures, in mm."""
    off = Harmonic(1, ecc, u_ecc, high, 1.5)
    plain = Harmonic(1, ecc if plain_ecc is None else plain_ecc, u_ecc, high, 1.5)
    figures: dict[str, Any] = {
        "count": 24, "mean_mm": 0.0, "least_mm": 0.0, "most_mm": tir, "joint": (off,),
        "lobes": (), "residual_mm": None, "noise_mm": noise, "spread": 1.0,
        "lsc": LeastSquares(plain, form, 0.0, 0.0, 0.0),
        "zone": NO_TOUCH, "inner": None, "outer": None,
    }  # fmt: skip
    return WheelFit(**(figures | more))


# Noise of 0.006 mm on 24 readings shows 2 · 0.006 · √(2·ln 24) = 0.030254 mm by itself.
SHOWN = decision.noise_range_mm(0.006, 24)


@pytest.mark.parametrize(
    ("sigma", "count", "range_mm"),
    [(0.006, 24, 0.030254), (0.005, 8, 0.020393), (1.0, 2, 2.354820), (1.0, 1, 2.354820)],
)
def test_noise_alone_shows_a_range(sigma, count, range_mm):
    assert decision.noise_range_mm(sigma, count) == pytest.approx(range_mm, abs=1e-6)


@pytest.mark.parametrize(
    ("figures", "action"),
    [
        # Left alone at 0.02 mm of run-out, or at what noise alone would show.
        ({"tir": 0.02}, "leave"),
        ({"tir": 0.0201}, "keep_form"),
        ({"tir": SHOWN, "noise": 0.006}, "leave"),
        ({"tir": SHOWN * 1.001, "noise": 0.006}, "keep_form"),
        # Not moved when the form is more than twice what the offset shows (2 · 0.02 mm).
        ({"plain_ecc": 0.02, "form": 0.0801, "ecc": 0.02}, "keep_form"),
        ({"plain_ecc": 0.02, "form": 0.08, "ecc": 0.02}, "recentre"),
        ({"plain_ecc": 0.1, "form": 0.0999, "ecc": 0.1}, "recentre"),
        # A form that noise could show does not hold back from centring.
        ({"form": SHOWN, "noise": 0.006, "ecc": 0.01}, "recentre"),
        ({"form": SHOWN * 1.001, "noise": 0.006}, "keep_form"),
        # An offset of less than twice its doubt points nowhere, nor is one moved by less than half
        # a division.
        ({"plain_ecc": 0.1, "ecc": 0.1, "u_ecc": 0.05}, "recentre"),
        ({"plain_ecc": 0.1, "ecc": 0.1, "u_ecc": 0.0501}, "not_judged"),
        ({"plain_ecc": 0.1, "ecc": 0.005}, "recentre"),
        ({"plain_ecc": 0.1, "ecc": 0.0049}, "leave"),
        # Enough readings, well spread, no wide gap.
        ({"count": 8}, "keep_form"),
        ({"count": 7}, "not_judged"),
        ({"spread": 4.0}, "keep_form"),
        ({"spread": 4.01}, "not_judged"),
    ],
)
def test_what_is_done(figures, action):
    assert decision.decide(rim(**figures), 15.0) == action


@pytest.mark.parametrize(("gap", "action"), [(120.0, "keep_form"), (120.1, "not_judged")])
def test_an_arc_of_more_than_a_third_that_was_not_read(gap, action):
    assert decision.decide(rim(), gap) == action


# A form whose low end is 0.06 mm with u = 0.005 mm: sure above 0.06 − 1.7 · 0.005 = 0.0515 mm.
OVER = Spread(0.07, 0.06, 0.0796)
ALL = {"cleaned": True, "acclimatised": True, "recentred": True, "leave": True}


def test_the_uncertainty_of_an_interval_is_half_of_it_over_196():
    assert OVER.u_mm == pytest.approx(0.005, abs=1e-6)


@pytest.mark.parametrize(
    ("done", "rim_is", "form", "action"),
    [
        # Nothing is cut before all that can be undone was done.
        ({}, "later_replacement", Form(OVER, OVER), "prepare"),
        (ALL | {"cleaned": False}, "later_replacement", Form(OVER, OVER), "prepare"),
        (ALL | {"acclimatised": False}, "later_replacement", Form(OVER, OVER), "prepare"),
        (ALL | {"recentred": False}, "later_replacement", Form(OVER, OVER), "prepare"),
        # Nor by a repeatability that was only assumed.
        (ALL, "later_replacement", Form(OVER, None), "read_turns"),
        # Nor an old or unknown rim without the owner's leave.
        (ALL, "original", Form(OVER, OVER), "return"),
        (ALL | {"leave": False}, "original", Form(OVER, OVER), "ask_leave"),
        (ALL | {"leave": False}, "old_replacement", Form(OVER, OVER), "ask_leave"),
        (ALL | {"leave": False}, "unknown", Form(OVER, OVER), "ask_leave"),
        (ALL | {"leave": False}, "later_replacement", Form(OVER, OVER), "return"),
        # A loose bearing comes before its symptom.
        (ALL | {"push_pull_mm": 0.021}, "later_replacement", Form(OVER, OVER), "bearing"),
        (ALL | {"push_pull_mm": 0.02}, "later_replacement", Form(OVER, OVER), "return"),
        # Too few places to know the form.
        (ALL, "later_replacement", Form(None, None), "keep_form"),
    ],
)
def test_what_comes_before_a_cut(done, rim_is, form, action):
    found = decision.decide(rim(), 15.0, form=form, done=Done(**done), rim=rim_is)

    assert found == action


@pytest.mark.parametrize(
    ("limit", "action"),
    [(0.0514, "return"), (0.0516, "keep_form"), (0.06, "keep_form"), (0.075, "keep_form")],
)
def test_only_a_form_surely_outside_of_the_limit_that_counts_is_cut(limit, action):
    rule = Rule(form_limit_mm=limit)

    assert decision.decide(rim(), 15.0, rule, form=Form(OVER, OVER), done=Done(**ALL)) == action


@pytest.mark.parametrize(
    ("leave", "tir", "is_noisy"),
    [
        (SHOWN / 2, 0.001, False),  # noise shows no more than twice the limit
        (SHOWN / 2.001, 0.001, True),
        (SHOWN / 2.001, 2 * SHOWN, True),
        (SHOWN / 2.001, 2.001 * SHOWN, False),  # what was read is more than noise
    ],
)
def test_noise_that_could_be_taken_for_run_out(leave, tir, is_noisy):
    fit, rule = rim(tir=tir, noise=0.006), Rule(leave_tir_mm=leave)

    assert decision.is_noisy(fit, rule) is is_noisy
    assert (decision.decide(fit, 15.0, rule) == "not_judged") is is_noisy


@pytest.mark.parametrize(
    ("tir", "need"),
    [(0.0, "good"), (0.05, "good"), (0.0501, "watch"), (0.10, "watch"), (0.1001, "true_it")],
)
def test_how_pressing_it_is(tir, need):
    assert advice.need(tir) == need


@pytest.mark.parametrize(("high", "opposite"), [(0.0, 180.0), (60.0, 240.0), (250.0, 70.0)])
def test_the_shim_goes_opposite_to_the_tap(high, opposite):
    found = advice.recentring(rim(ecc=0.1, u_ecc=0.01, high=high))

    assert found == advice.Recentre(0.1, 0.01, high, opposite, 1.5)
    assert advice.recentring(rim(ecc=0.1, u_ecc=0.051)) is None


# A string of 10 N in the middle of 200 mm: lifted by 100 mm it stands at 45° on either side and is
# pressed by 2 · 10 / √2 = 14.14214 N; lifted by 75 mm, by 2 · 10 · 75 / 125 = 12 N.
@pytest.mark.parametrize(
    ("lost", "lift", "force", "percent", "touches"),
    [
        (0.0, 100.0, 14.14214, 0.0, True),
        (25.0, 75.0, 12.0, 15.14719, True),
        (100.0, 0.0, 0.0, 100.0, False),
        (100.1, 0.0, 0.0, 100.0, False),
    ],
)
def test_a_string_after_the_work(lost, lift, force, percent, touches):
    string = StringOnWheel(10, 200, 100, 100)

    (found,) = advice.strings_after([("drone", string)], rim(ecc=0.1, u_ecc=0.01), lost)

    assert (found.name, found.lift_mm, found.touches) == ("drone", 100, touches)
    assert found.force_n == pytest.approx(14.14214, abs=1e-5)
    assert found.lift_after_mm == lift
    assert found.force_after_n == pytest.approx(force, abs=1e-5)
    assert found.force_lost_pct == pytest.approx(percent, abs=1e-5)
    assert found.swelling_pct == pytest.approx(0.1)  # 0.1 mm of 100
    assert found.u_swelling_pct == pytest.approx(0.01)


def test_a_string_that_is_not_lifted_has_no_share_to_lose():
    (found,) = advice.strings_after([("a", StringOnWheel(10, 200, 100, 0.0))], rim(), 0.1)

    assert (found.force_n, found.force_after_n, found.lift_after_mm) == (0, 0, 0)
    assert (found.swelling_pct, found.u_swelling_pct, found.force_lost_pct) == (None, None, None)
    assert not found.touches


def test_a_thin_lift_still_has_shares():
    (found,) = advice.strings_after([("a", StringOnWheel(10, 200, 100, 0.5))], rim(ecc=0.1), 0.25)

    assert found.swelling_pct == pytest.approx(20)
    assert found.force_lost_pct == pytest.approx(50, abs=0.01)
    assert found.touches
    assert math.isclose(found.lift_after_mm, 0.25)
