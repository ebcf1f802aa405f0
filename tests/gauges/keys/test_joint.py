"""One answer for a key: pitch, gap and meeting together, worked by hand and against brute force."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from repairs.gauges.base.verdict import Limit, judge
from repairs.gauges.keys.acts import MOST_BEND_MM, MOST_RE_PIN_MM, Found, ways_of
from repairs.gauges.keys.correction import DEFAULT_LIMITS, Flag
from repairs.gauges.keys.joint import answer, one_piece
from tests.gauges.keys.asking import run

NARROW = Limit(-2.0, 2.0, "cents")
OCTAVE_MM = 172.5


def found(name="a", off=0.0, *, u=0.5, flag=None, gap=None):
    """A tangent at the octave of 345 mm."""
    return Found(name, off, u, judge(off, u, NARROW).word, NARROW,
                 OCTAVE_MM * 2 ** (-off / 1200), flag, gap)  # fmt: skip


def solved(*tangents, **more):
    return answer(12, tangents, DEFAULT_LIMITS, **more)


def test_a_key_that_is_right_in_all_is_left_alone():
    key = solved(found(gap=1.5), found("b", gap=1.45))

    assert [act.verb for act in key.acts] == ["leave", "leave"]
    assert (key.shim_mm, key.serves, key.short_mm, key.short_cents) == (0.0, None, 0.0, 0.0)


def test_a_tangent_that_is_only_late_is_bent_and_keeps_its_pitch():
    # It was told to turn by 47.6°, which moved the note 13 cents: 3 mm of flag, 0.97 mm late.
    late = found(flag=Flag(3.0), gap=1.9)

    key = solved(late, found("b", flag=Flag(3.0), gap=1.5))

    verbs = {act.string: (act.verb, act.bend_mm) for act in key.acts}
    assert verbs == {"a": ("bend", pytest.approx(0.4)), "b": ("leave", 0.0)}
    assert all(abs(act.off_after_cents) < 1e-9 for act in key.acts)
    assert key.apart_mm == pytest.approx(0.0)
    # What the turn for the meeting would have done to the pitch, by geometry: 1 − cos φ = 0.4/3.
    along = 3.0 * math.sin(math.acos(1.0 - 0.4 / 3.0))
    assert 1200 * math.log2(OCTAVE_MM / (OCTAVE_MM - along)) > 13.0


def test_a_turn_for_the_pitch_is_made_good_at_the_meeting():
    # 6.011 cents flat at the octave is 0.6 mm; a flag of 1 mm turns to the 3-4-5 triangle and
    # draws back by 0.2. The other stands 0.1 mm further: 0.3 apart, surely beyond 0.1.
    flat = found(off=1200 * math.log2(172.5 / 173.1), flag=Flag(1.0, u_offset_mm=0.02), gap=1.5)

    key = solved(flat, found("b", gap=1.4))

    first, second = key.acts
    assert first.verb == "turn" and first.turn is not None
    assert first.turn.turn_deg == pytest.approx(36.8699, abs=1e-3)
    assert first.along_mm == pytest.approx(0.6, abs=1e-6)
    # One row for the tangent: turned, and bent 0.3 mm nearer; or the other taken away by as much.
    assert first.bend_mm - second.bend_mm == pytest.approx(0.3, abs=1e-6)
    assert abs(first.bend_mm) * abs(second.bend_mm) == 0.0
    assert key.apart_mm == pytest.approx(0.0, abs=1e-6)
    assert first.off_after_cents == pytest.approx(0.0, abs=1e-6)


def test_beyond_its_flag_a_tangent_is_re_pinned_and_beyond_the_shank_it_says_so():
    short = solved(found(off=-8.0, flag=Flag(0.3)))
    (act,) = short.acts
    assert act.verb == "re_pin" and short.serves is None
    assert act.along_mm == pytest.approx(172.5 * (2 ** (8 / 1200) - 1))

    far = solved(found(off=-40.0, flag=Flag(0.3)))
    (act,) = far.acts
    assert abs(found(off=-40.0).exact_mm) > MOST_RE_PIN_MM
    assert act.verb != "re_pin"
    assert far.serves == "other_shank" and far.short_cents > 30.0


def test_a_doubtful_note_is_read_again_before_anything_touches_its_place():
    key = solved(found(off=1.9, flag=Flag(3.0), gap=1.5), found("b", gap=1.5))

    assert [act.verb for act in key.acts] == ["measure_again", "leave"]
    assert key.acts[0].along_mm == 0.0


def test_both_gaps_wide_is_a_shim_of_the_key_and_not_two_bends():
    key = solved(found(gap=2.6), found("b", gap=2.65))

    assert [act.verb for act in key.acts] == ["leave", "leave"]
    assert key.shim_mm == pytest.approx(0.65)
    assert solved(found(gap=0.5), found("b", gap=0.55)).shim_mm == pytest.approx(-0.5)
    # A gap that a swinging string wants wider than usual.
    assert solved(found(gap=1.5), least_gap_mm=1.9).shim_mm == pytest.approx(-0.4)


def test_what_no_bend_reaches_is_told_with_its_remainder():
    # 0.8 apart is more than one bend: each gives half.
    key = solved(found(gap=1.6), found("b", gap=2.4))

    assert key.serves is None
    assert [act.bend_mm for act in key.acts] == pytest.approx([-0.4, 0.4])
    far = solved(found(gap=0.9), found("b", gap=3.0))
    assert far.serves == "other_flag"
    assert far.short_mm > 0.5
    assert all(abs(act.bend_mm) <= MOST_BEND_MM for act in far.acts)


def test_one_piece_for_two_strings_shares_and_says_what_would_serve():
    # 5 cents sharp and right: halfway, 2.5 left on each, beyond 2 by 0.5 at least.
    key = one_piece(12, [found(off=5.0, u=0.1), found("b", u=0.1)], DEFAULT_LIMITS)

    assert key.serves == "two_tangents"
    assert [act.verb for act in key.acts] == ["move", "move"]
    assert [act.off_after_cents for act in key.acts] == pytest.approx([2.5, -2.5], abs=0.02)
    assert key.short_cents == pytest.approx(0.5, abs=0.02)
    served = one_piece(12, [found(off=5.0, u=0.1), found("b", off=4.0, u=0.1)], DEFAULT_LIMITS)
    assert served.serves is None


def test_no_other_pair_of_ways_costs_less():
    """By brute force over turns and bends that the solver does not list."""
    rng = np.random.default_rng(4)
    for _ in range(12):
        pair = [
            found("ab"[n], rng.normal(0, 5), u=0.2, flag=Flag(2.0, rng.uniform(-20, 20)),
                  gap=float(rng.uniform(1.2, 1.9)))
            for n in range(2)
        ]  # fmt: skip
        key = solved(*pair, u_gap_mm=0.01)
        least = min(
            _cost(pair, ways, bends)
            for ways in itertools.product(*([*range(len(ways_of(p).along_mm))] for p in pair))
            for bends in itertools.product((0.0,), (0.0,))
        )
        assert _cost_of(key, pair) <= least + 1e-9


def _cost(pair, ways, bends):
    listed = [ways_of(one) for one in pair]
    gaps = [
        one.gap_mm - one_ways.near_mm[way] - bend
        for one, one_ways, way, bend in zip(pair, listed, ways, bends, strict=True)
    ]
    apart = abs(gaps[0] - gaps[1]) - 0.1 - 1.645 * math.sqrt(2) * 0.01
    over = max(0.0, apart)
    cost = sum(float(w.cost[n]) for w, n in zip(listed, ways, strict=True))
    for gap in gaps:
        beside = max(0.0, 1.0 - 0.01645 - gap, gap - 2.0 - 0.01645)
        cost += 20.0 + 20.0 * beside / 0.5 if beside > 1e-9 else 0.0
    return cost + (20.0 + 20.0 * over / 0.1 if over > 1e-9 else 0.0)


def _cost_of(key, pair):
    cost = 0.0
    for act, one in zip(key.acts, pair, strict=True):
        listed = ways_of(one)
        same = np.flatnonzero(np.isclose(listed.along_mm, act.along_mm, atol=1e-12))
        cost += float(min(listed.cost[n] for n in same))
        cost += 0.3 + 2.0 * abs(act.bend_mm) if act.bend_mm else 0.0
    return cost + (0.2 + abs(key.shim_mm) if key.shim_mm else 0.0)


def test_every_answer_keeps_its_promise_on_a_thousand_keys():
    """Re-reckoned from the acts alone: pitch inside, both met together, one row a tangent."""
    rng = np.random.default_rng(9)
    kept = 0
    for _ in range(150):
        pair = [
            found("ab"[n], rng.normal(0, 8), u=0.2, flag=Flag(3.0, rng.uniform(-15, 15)),
                  gap=float(rng.normal(1.5, 0.3)))
            for n in range(2)
        ]  # fmt: skip
        key = solved(*pair)
        assert len(key.acts) == 2
        gaps = []
        for act, one in zip(key.acts, pair, strict=True):
            near = act.turn.lateral_mm if act.turn else 0.0
            gaps.append(one.gap_mm - near - act.bend_mm - key.shim_mm)
            off = 1200 * math.log2(OCTAVE_MM / (one.is_mm - act.along_mm))
            assert act.off_after_cents == pytest.approx(off, abs=1e-6)
            if one.verdict != "doubtful":
                assert abs(off) <= 2.0
        assert key.apart_mm == pytest.approx(gaps[0] - gaps[1], abs=1e-9)
        kept += abs(gaps[0] - gaps[1]) <= 0.1 + 1.645 * math.sqrt(2) * 0.05 + 1e-9
    assert kept >= 147


def test_the_gauge_gives_the_same_answer_in_its_lines_and_in_its_keys():
    strings = [
        {"name": "a", "measured_cents": [1200.2], "offset_mm": 3, "gap_mm": 1.9},
        {"name": "b", "measured_cents": [1199.9], "offset_mm": 3, "gap_mm": 1.5},
    ]

    answer_ = run(keys=[12], strings=strings, u_cents=0.2)

    (key,) = answer_["keys"]
    assert [act["verb"] for act in key["acts"]] == ["bend", "leave"]
    assert [s["keys"][0]["action"] for s in answer_["strings"]] == ["bend", "leave"]
    assert answer_["strings"][0]["keys"][0]["bend_mm"] == pytest.approx(0.4)
