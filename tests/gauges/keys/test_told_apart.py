"""A stretched string, a wrong nut, scattered tangents and a wrong bridge are told apart.

Forty keyboards of each kind here; a thousand are in `manage.py measure cover`.
"""

from __future__ import annotations

import numpy as np
import pytest

from repairs.gauges.keys.press import by_law, by_two_presses, pressed_cents, shape, usual
from repairs.gauges.keys.scalefit import OPEN_READ, _named, fit_scale
from repairs.measures import cover_keys
from repairs.measures.cover_keys import TRUTHS, Truth, covers, fits, is_right
from tests.gauges.keys.asking import run

COUNT = 40
GUT = {"tension_n": 66.3, "diameter_mm": 0.8, "youngs_gpa": 6.0, "length_mm": 345.0,
       "total_mm": 480.0, "push_mm": 1.5}  # fmt: skip


@pytest.mark.parametrize("name", TRUTHS)
def test_what_is_wrong_is_named_and_nothing_else_is_moved(name):
    truth = TRUTHS[name]

    found = fits(truth, COUNT, seed=7)

    right = np.mean([is_right(fit, truth) for fit in found])
    assert right >= 0.95
    if truth.bridge_mm:
        assert np.mean([bool(covers(fit, truth)) for fit in found]) >= 0.85


def test_an_end_that_may_as_well_stand_right_is_not_named():
    weights = dict.fromkeys(OPEN_READ, 0.0)

    # Pressed for certain, and the nut with it in nine of ten: the nut is left.
    assert _named({**weights, "pressed": 10.0, "nut_and_pressed": 90.0}) == "pressed"
    assert _named({**weights, "pressed": 4.0, "nut_and_pressed": 96.0}) == "nut_and_pressed"
    # Something surely is wrong, and it is one of the two: the likelier is named.
    assert _named({**weights, "right": 1.0, "nut": 39.0, "bridge": 60.0}) == "bridge"
    # As good as right.
    assert _named({**weights, "right": 40.0, "nut": 60.0}) == "right"


def test_a_good_key_is_set_aside_in_one_keyboard_of_twenty():
    found = fits(Truth(bridge_mm=2.0), 3 * COUNT, seed=23)

    assert np.mean([bool(fit.set_aside) for fit in found]) <= 0.1


def test_a_stretched_string_is_not_a_wrong_bridge():
    found = fits(Truth(pressed=0.8), COUNT, seed=11)

    assert np.mean([fit.explanation == "pressed" for fit in found]) >= 0.85
    factor = [fit.pressed_cents for fit in found if fit.pressed_cents is not None]
    middle = float(np.median(shape(2.0 ** (cover_keys.wanted() / 1200.0))))
    assert np.mean(factor) == pytest.approx(0.8 * middle, rel=0.1)


def test_the_shape_of_pressing_is_that_of_the_law():
    # 100 mm of 345 from the nut: r = 345/245; published 1.30 cents for gut of 0.8 mm, 66.3 N,
    # 1.5 mm, of which the longer part that sounds takes 865.6·(1.5/245)² = 0.0324.
    assert pressed_cents({**GUT, "from_nut_mm": 100.0}) == pytest.approx(1.2985 - 0.0324, abs=5e-4)
    ratios = np.array([1.1, 1.5, 2.0, 3.0])
    law = by_law(345.0, ratios, GUT, {"push_mm": 0.1})
    share = law.shape_cents / shape(ratios)
    # But for the longer part that sounds, which at the third octave takes an eighth of it.
    assert share == pytest.approx([share[0]] * 4, rel=0.14)
    # Cents go with the square of the push: 2·0.1/1.5.
    assert law.mean == 1.0
    assert law.u == pytest.approx(2 * 0.1 / 1.5, rel=0.02)


def test_two_presses_tell_what_one_added():
    ratios = np.array([1.1, 1.5, 2.0, 3.0])
    grown = 0.3 * shape(ratios)
    grown[1] = np.nan

    press = by_two_presses(ratios, grown, 0.7)

    assert press.mean == pytest.approx(0.3)
    assert press.u > 0.3 / 3**0.5
    none = by_two_presses(ratios, np.zeros(4), 0.01)
    assert none.mean == 0.0 and none.u < 0.01


def test_a_firm_press_that_adds_nothing_rules_the_press_out():
    # By the shape alone it might be the finger; read twice, it is not.
    rng = np.random.default_rng(3)
    off = cover_keys.keyboard(rng, Truth(pressed=0.5))
    cents = cover_keys.wanted()
    ratios = 2.0 ** (cents / 1200.0)
    alone = fit_scale(cents, off, 345.0, 0.5, 0.5, usual(ratios))
    twice = fit_scale(
        cents, off, 345.0, 0.5, 0.5, by_two_presses(ratios, rng.normal(0, 0.5, 23), 0.7)
    )

    assert alone is not None and twice is not None
    assert alone.pressed_pct > 90.0
    assert twice.press_from == "two_presses"
    assert abs(twice.pressed_cents or 0.0) < 0.3 * abs(alone.pressed_cents or 0.0)


def test_the_gauge_takes_firm_readings_and_the_string():
    off = (0.6 * shape(2.0 ** (cover_keys.wanted() / 1200.0))).tolist()
    firm = [2.0 * one for one in off]
    asked = {"keys": 23, "reading": "off_wanted", "measured_cents": off, "open_cents": 0}

    twice = run(**asked, firm_cents=firm)["strings"][0]
    law = run(**asked, **{k: v for k, v in GUT.items() if k != "length_mm"})["strings"][0]

    assert twice["fit"]["press_from"] == "two_presses"
    assert twice["fit"]["explanation"] == "pressed"
    assert law["fit"]["press_from"] == "law"
    first = run(**asked, firm_cents=firm)["first"]
    assert [step["code"] for step in first] == ["press_lighter"]
