"""Two strings of one key that cannot both be put right: worked by hand from made-up corrections."""

from __future__ import annotations

import pytest

from repairs.gauges.base.verdict import Limit, judge
from repairs.gauges.keys.conflicts import conflicts
from repairs.gauges.keys.correction import (
    ChanterCorrection,
    ChanterReading,
    KeyCorrection,
    Turn,
)

RIGHT = judge(0.0, 0.1, Limit(-2.0, 2.0, "cents"))
KEYS = [(7, 701.955), (12, 1200.0)]


def corrected(key, action="move", *, move=0.0, u=0.1, off=0.0, after=(0.0, 0.1, 0.0), turn=None):
    """One tangent: its move, u and error as it stands, and the same three after the scale."""
    wanted = dict(KEYS)[key]
    return KeyCorrection(
        key, wanted, wanted + off, off, 0.5, RIGHT, move, u, after[2], 0.5, RIGHT,
        after[0], after[1], action, turn,
    )  # fmt: skip


def string(name, *keys, basis="as_stands"):
    return ChanterCorrection(name, basis, None, keys, ())


def reading(name, gaps=(None, None), length=345.0):
    return ChanterReading(name, length, (None, None), (None, None), gaps)


def found(*strings, fixed=(12,), gaps=None, lengths=None):
    gaps = gaps or [(None, None)] * len(strings)
    lengths = lengths or [345.0] * len(strings)
    read = [
        reading(s.name, gap, length) for s, gap, length in zip(strings, gaps, lengths, strict=True)
    ]
    return conflicts(read, strings, KEYS, fixed)


def test_moves_that_differ_by_more_than_their_doubt_are_a_conflict_of_one_piece():
    # 0.3 − (−0.1) = 0.4; u = √(0.06² + 0.08²) = 0.1, 1.645 of it is less. Halfway is 0.1. The
    # octave of 345 stands at 172.5, of 200 at 100. Right now at 172.5 − 0.3 (flat) the first is
    # 1200·log₂(345/172.8) = 1196.9917; after 0.1 mm 172.7 are left: 1197.9939, −2.0061.
    # The second at 100 + 0.1 (sharp), then 100.2, 99.8 left of 200: 1203.4658, +3.4658.
    first = corrected(12, move=0.3, u=0.06, off=-3.00826)
    second = corrected(12, move=-0.1, u=0.08, off=1.732100)

    (one,) = found(string("a", first), string("b", second), lengths=[345.0, 200.0])

    assert (one.key, one.code, one.strings) == (12, "fixed_double", ("a", "b"))
    assert one.apart_mm == pytest.approx(0.4)
    assert one.u_apart_mm == pytest.approx(0.1)
    assert one.common_mm == pytest.approx(0.1)
    assert one.left_cents == pytest.approx((-2.0061, 3.4658), abs=2e-4)
    assert one.verdict is None


@pytest.mark.parametrize(
    ("apart", "u", "is_one"),
    [(0.16, 0.1, False), (-0.16, 0.1, False), (0.17, 0.1, True), (-0.17, 0.1, True),
     (1.645, 1.0, False), (1.646, 1.0, True)],
)  # fmt: skip
def test_the_doubt_of_both_moves_is_the_bound(apart, u, is_one):
    done = (corrected(12, move=apart, u=u), corrected(12, move=0.0, u=0.0))

    assert bool(found(string("a", done[0]), string("b", done[1]))) is is_one


@pytest.mark.parametrize(
    ("actions", "is_one"),
    [(("leave", "leave"), False), (("leave", "measure_again"), False), (("leave", "move"), True),
     (("turn", "measure_again"), True)],
)  # fmt: skip
def test_one_piece_that_nobody_touches_is_in_no_conflict(actions, is_one):
    first, second = (corrected(12, a, move=m) for a, m in zip(actions, (0.5, -0.5), strict=True))

    assert bool(found(string("a", first), string("b", second))) is is_one


def test_each_string_is_taken_by_its_own_basis():
    # As it stands 0.9 and 0.0; after the scale 0.1 and 0.7.
    first = corrected(12, move=0.9, u=0.3, after=(0.1, 0.03, 0.0))
    second = corrected(12, move=0.0, u=0.04, after=(0.7, 0.5, 0.0))

    (one,) = found(string("a", first, basis="after_scale"), string("b", second))
    (both,) = found(string("a", first), string("b", second))

    assert (one.apart_mm, one.common_mm) == (pytest.approx(0.1), pytest.approx(0.05))
    assert one.u_apart_mm == pytest.approx(0.05)
    assert (both.apart_mm, both.common_mm) == (pytest.approx(0.9), pytest.approx(0.45))


def test_what_stays_on_each_string_is_counted_from_its_own_error():
    # After the scale nothing is off: 0.05 mm of the 172.5 are 1200·log₂(172.5/172.45) = 0.5019.
    first = corrected(12, move=0.9, off=-9.0, after=(0.1, 0.01, 0.0))
    second = corrected(12, move=0.0, u=0.01)

    (one,) = found(string("a", first, basis="after_scale"), string("b", second))

    assert one.left_cents == pytest.approx((0.5019, 0.5019), abs=2e-4)


def a_turn(lateral, u=0.01):
    return Turn(20.0, 1.0, lateral, u)


@pytest.mark.parametrize(
    ("gaps", "laterals", "apart"),
    [
        # Without both gaps the strings are taken to be met together now.
        ((None, None), (-0.2, None), 0.2), ((1.5, None), (-0.2, None), 0.2),
        ((None, 1.5), (-0.2, None), 0.2), ((1.5, 1.5), (-0.2, None), 0.2),
        # With them what is left is counted: 1.3 + 0.2 − 1.5 is met together.
        ((1.3, 1.5), (-0.2, None), None), ((1.0, 1.5), (-0.2, None), -0.3),
        ((1.5, 1.5), (None, -0.2), -0.2), ((1.5, 1.5), (-0.2, -0.2), None),
        ((1.5, 1.5), (0.2, -0.2), -0.4), ((1.0, 1.5), (None, None), None),
    ],
)  # fmt: skip
def test_after_the_turns_one_string_is_met_before_the_other(gaps, laterals, apart):
    one, other = (
        corrected(12, "leave" if lateral is None else "turn",
                  turn=None if lateral is None else a_turn(lateral))
        for lateral in laterals
    )  # fmt: skip

    made = found(
        string("a", one), string("b", other), fixed=(), gaps=[(9.0, gaps[0]), (8.0, gaps[1])]
    )

    if apart is None:
        assert made == ()
        return
    (conflict,) = made
    assert (conflict.key, conflict.code) == (12, "not_together")
    assert conflict.apart_mm == pytest.approx(apart)
    assert conflict.verdict is not None and conflict.verdict.word == "outside"
    assert (conflict.common_mm, conflict.left_cents) == (None, None)
    turned = sum(lateral is not None for lateral in laterals)
    assert conflict.u_apart_mm == pytest.approx(0.01 * turned**0.5)


def test_a_turn_that_is_not_to_be_made_moves_nothing():
    # A flag is reckoned also where the note is left alone.
    one, other = (corrected(12, action, turn=a_turn(-0.5)) for action in ("leave", "turn"))

    (conflict,) = found(string("a", one), string("b", other), fixed=())

    assert conflict.apart_mm == pytest.approx(-0.5)


@pytest.mark.parametrize(
    ("lateral", "u", "word"),
    [(-0.1, 0.0, None), (-0.11, 0.02, "doubtful"), (-0.2, 0.01, "outside")],
)
def test_what_may_be_apart_is_said_too(lateral, u, word):
    one, other = corrected(12, "turn", turn=a_turn(lateral, u)), corrected(12, "leave")

    made = found(string("a", one), string("b", other), fixed=())

    assert [c.verdict and c.verdict.word for c in made] == ([word] if word else [])


def test_of_three_strings_each_is_held_against_its_neighbour():
    # Only the third is wrong: the second and the third cannot share, the first and second can.
    wrong = corrected(12, move=0.6)
    strings = (string("a", corrected(7), corrected(12)), string("b", corrected(12)),
               string("c", wrong, corrected(7)))  # fmt: skip

    (one,) = found(*strings, lengths=[345.0, 345.0, 300.0])

    assert one.strings == ("b", "c")
    assert (one.key, one.apart_mm) == (12, pytest.approx(-0.6))
    # 0.3 mm of 172.5 and of 150 left: both are 0.3 sharp: 1200·log₂(172.5/172.2), (150/149.7).
    assert one.left_cents == pytest.approx((3.0135, 3.4659), abs=2e-4)

    turned = (string("a", corrected(12, "leave")), string("b", corrected(12, "leave")),
              string("c", corrected(12, "turn", turn=a_turn(-0.2))))  # fmt: skip
    (apart,) = found(*turned, fixed=(), gaps=[(None, 9.0), (None, 1.5), (None, 1.6)])
    assert apart.strings == ("b", "c")
    assert apart.apart_mm == pytest.approx(1.5 - 1.8)


def test_a_string_alone_or_a_key_of_one_string_is_in_no_conflict():
    assert found(string("a", corrected(12, move=2.0))) == ()
    assert found(string("a", corrected(12, move=2.0)), string("b", corrected(7, move=-2.0))) == ()
