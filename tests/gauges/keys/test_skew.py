"""One bridge under two strings that ask different ways of it."""

from __future__ import annotations

import pytest

from repairs.gauges.keys.skew import shared_ends


def asked(first, second, u=0.1, code="move_bridge"):
    return [
        {"string": name, "code": code, "amount": amount, "u": u, "unit": "mm"}
        for name, amount in (("first", first), ("second", second))
    ]


def test_1_81_and_1_35_of_one_bridge_is_a_skew_of_0_46():
    # 0.46 against 1.645·√2·0.1 = 0.233: the bridge stands askew. Its middle goes 1.58.
    (one,) = shared_ends(asked(1.81, 1.35))

    assert one.is_skew
    assert one.amount == pytest.approx(1.58)
    assert one.skew_mm == pytest.approx(0.46)
    assert one.u_skew_mm == pytest.approx(0.1414, abs=1e-4)


def test_what_their_doubt_explains_is_one_move_weighed():
    # (1.81/0.01 + 1.65/0.04)/(1/0.01 + 1/0.04) = 222.25/125 = 1.778; u = √(1/125) = 0.0894.
    steps = asked(1.81, 1.65)
    steps[1]["u"] = 0.2

    (one,) = shared_ends(steps)

    assert not one.is_skew
    assert one.amount == pytest.approx(1.778)
    assert one.u == pytest.approx(0.0894, abs=1e-4)


def test_one_string_that_asks_is_no_pair():
    assert shared_ends(asked(1.8, 1.3)[:1]) == []
    assert shared_ends([*asked(1.8, 1.3)[:1], *asked(1.0, 1.0, code="move_nut")[1:]]) == []
