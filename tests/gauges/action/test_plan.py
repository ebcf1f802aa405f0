"""The keybox from above: push, clearances and reach of each key, worked by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from repairs.gauges.action.gauge import DEFAULT_LIMITS
from repairs.gauges.action.plan import Plan, amplitude_mm, deflection_mm, plan_checks, push_mm

NAN = math.nan


def plan(gaps, at=((100.0, 200.0), (100.0, 200.0)), **more):
    """A keybox of 400 mm with strings of 1.0 and 0.6 mm and round figures; keys 5 and 9."""
    count = len(gaps)
    usual = {
        "length_mm": 400.0, "keys": (5, 9), "back_mm": np.array([2.0, 2.5]),
        "travel_mm": np.array([3.0, NAN]), "diameter_mm": np.array([1.0, 0.6])[:count],
        "spacing_mm": (8.0, 12.0), "amplitude_mm": np.array([0.4, 0.8])[:count], "press_mm": 1.0,
        "u_gap_mm": 0.03, "u_press_mm": 0.2, "u_amplitude_mm": 0.1, "u_spacing_mm": 0.04,
    }  # fmt: skip
    return Plan(at_mm=np.array(at[:count]), gap_mm=np.array(gaps), **{**usual, **more})


def found(of, kind, note, string=None):
    return [
        c
        for c in plan_checks(of, DEFAULT_LIMITS)
        if (c.kind, c.note) == (kind, note) and string in (None, c.string)
    ]


def test_a_string_stands_aside_only_where_a_tangent_pushes():
    x = np.array([50.0, 100.0, 250.0])

    assert deflection_mm(x, 100.0, 400.0, 2.0).tolist() == [1.0, 2.0, 1.0]
    assert deflection_mm(x, 100.0, 400.0, 0.0).tolist() == [0.0] * 3
    assert deflection_mm(x, 0.0, 400.0, 2.0).tolist() == [0.0] * 3
    # Half a millimetre from the nut is a place too.
    assert deflection_mm(np.array([0.25]), 0.5, 400.0, 2.0).tolist() == [1.0]


def test_a_string_swings_between_its_ends_only():
    # 0.8·(300/400)² = 0.45 at the top; 0.75 of it a quarter in; nothing behind, nor at the ends.
    at = np.array([50.0, 100.0, 175.0, 250.0, 400.0, 450.0])

    assert amplitude_mm(at, 100.0, 400.0, 0.8).tolist() == pytest.approx([0, 0, 0.3375, 0.45, 0, 0])


def test_a_key_pushes_until_the_string_met_last_is_bent():
    of = plan([[1.2, NAN], [1.5, 1.4]])

    push, u, travel = push_mm(of, 0)
    assert push.tolist() == pytest.approx([1.3, 1.0])
    # The string met early by 0.3 adds both gaps' doubt: √(0.2² + 2·0.03²).
    assert u.tolist() == pytest.approx([math.sqrt(0.0418), 0.2])
    assert travel == pytest.approx(2.5)
    # A tangent without a gap pushes nothing.
    push, u, travel = push_mm(of, 1)
    assert push.tolist() == [0.0, 1.0]
    assert travel == pytest.approx(2.4)
    push, u, travel = push_mm(of, -1)
    assert (push.tolist(), u.tolist(), travel) == ([0, 0], [0, 0], 0.0)
    unknown = plan([[1.2, NAN], [1.5, NAN]])
    assert push_mm(unknown, 1)[0].tolist() == [0, 0] and push_mm(unknown, 1)[2] == 0.0


def test_what_is_checked_of_keys_at_rest():
    of = plan([[1.2, NAN], [1.5, 1.4]])
    checks = plan_checks(of, DEFAULT_LIMITS)

    rest = [(c.note, c.key, c.string, c.verdict.value, c.stops) for c in checks
            if c.kind == "rest_gap"]  # fmt: skip
    assert rest == [(5, 5, 1, 1.2, False), (5, 5, 2, 1.5, False), (9, 9, 2, 1.4, False)]
    assert {c.verdict.u for c in checks if c.kind == "rest_gap"} == {0.03}
    (together,) = [c for c in checks if c.kind == "together"]
    assert (together.key, together.string, together.stops) == (5, None, True)
    assert together.verdict.value == pytest.approx(-0.3)
    assert together.verdict.u == pytest.approx(0.03 * math.sqrt(2))
    # 3.0 − 1.5 − 1.0; the second key's travel is not known.
    (reach,) = [c for c in checks if c.kind == "reach"]
    assert (reach.note, reach.key) == (5, 5)
    assert reach.verdict.value == pytest.approx(0.5)
    assert reach.verdict.u == pytest.approx(math.sqrt(0.2**2 + 2 * 0.03**2))


def test_a_travel_without_a_gap_and_one_string_alone_are_not_judged_together():
    of = plan([[1.2, NAN]], travel_mm=np.array([3.0, 3.0]))

    kinds = [(c.kind, c.note) for c in plan_checks(of, DEFAULT_LIMITS)]

    assert ("reach", 5) in kinds and ("reach", 9) not in kinds
    assert "together" not in {kind for kind, _ in kinds}
    assert "clear_other" not in {kind for kind, _ in kinds}


def test_a_held_key_and_its_own_tangents_by_hand():
    # Open: at 100 ξ = ¼, 0.75·0.4 = 0.3: 1.2 − 0.3 = 0.9; at 200 0.4: 1.5 − 0.4 = 1.1. Tightest
    # is key 5. u = √((0.75·0.1)² + 0.03²).
    of = plan([[1.2, 1.5], [1.5, 1.5]])

    (rest,) = found(of, "clear_own", 0, 1)
    assert (rest.key, rest.string, rest.verdict.value) == (5, 1, pytest.approx(0.9))
    assert rest.verdict.u == pytest.approx(math.hypot(0.075, 0.03))
    # Key 5 held: string 1 bent by 1.3 at 100, at 200 by 1.3·200/300 = 0.866667; it swings by
    # 0.4·0.5625·0.888889 = 0.2: 1.5 + 0.866667 − 0.2. Only tangents nearer the bridge count.
    (held,) = found(of, "clear_own", 5, 1)
    assert (held.key, held.verdict.value) == (9, pytest.approx(2.166667))
    # u: push √0.0418·⅔, swing 0.1·0.5625·0.888889 = 0.05, gap 0.03.
    assert held.verdict.u == pytest.approx(math.sqrt(0.0418 * 4 / 9 + 0.0025 + 0.0009))
    assert found(of, "clear_own", 9) == []


def test_the_tangents_of_the_other_string_by_hand():
    # Spacing 8 at the nut and 12 at the bridge: 9 at 100, 10 at 200. From string 1 to the back of
    # tangent 2: 9 − 0.5 − 0.3 − 1.5 − 2.0 = 4.7 less the swing 0.3; at 200 10 − 0.8 − 1.5 − 2.5
    # = 5.2 less 0.4. The first is the tighter.
    of = plan([[1.2, 1.5], [1.5, 1.5]])

    (near,) = found(of, "clear_other", 0, 1)
    assert (near.key, near.string, near.verdict.value) == (5, 1, pytest.approx(4.4))
    assert near.verdict.u == pytest.approx(math.sqrt(0.075**2 + 0.04**2 + 0.03**2))
    # From string 2 to the face of tangent 1: 9 + 0.5 − 0.3 + 1.2 = 10.4 less 0.75·0.8 = 0.6.
    (far,) = found(of, "clear_other", 0, 2)
    assert (far.key, far.string, far.verdict.value) == (5, 2, pytest.approx(9.8))
    # Key 9 held: it travels 1.5 + 1.0. String 1 behind it does not swing and is bent by 0.5 at
    # 100: 4.7 − 0.5; at 200 the key's own tangent went along: 5.2 + 2.5 − 1.0 = 6.7.
    (held,) = found(of, "clear_other", 9, 1)
    assert (held.key, held.verdict.value) == (5, pytest.approx(4.2))
    # String 2 with key 9: at 100 10.4 + 0.5; at 200 10 + 0.2 + 1.5 − 2.5 + 1.0 = 10.2: tighter.
    (back,) = found(of, "clear_other", 9, 2)
    assert (back.key, back.verdict.value) == (9, pytest.approx(10.2))


def test_a_held_tangent_whose_place_is_not_known_bends_nothing():
    of = plan([[1.2, 1.5], [1.5, 1.5]], at=((NAN, 200.0), (100.0, 200.0)))

    assert found(of, "clear_own", 5, 1) == []
    (other,) = found(of, "clear_other", 5, 1)
    # At 100: 9 − 0.8 − 1.5 − 2 + travel 2.5 = 7.2 less 0.3; at 200: 5.2 less 0.4 is the tighter.
    assert (other.key, other.verdict.value) == (9, pytest.approx(4.8))


def test_without_a_thickness_or_a_spacing_the_other_string_is_not_judged():
    thin = plan([[1.2, 1.5], [1.5, 1.5]], back_mm=np.array([NAN, NAN]))
    wide = plan([[1.2, 1.5], [1.5, 1.5]], spacing_mm=(NAN, NAN))

    assert found(thin, "clear_other", 0, 1) == [] and len(found(thin, "clear_other", 0, 2)) == 1
    assert found(wide, "clear_other", 0) == []
