"""How the doubt of inputs is carried into a result, and that no two gauges have one name."""

import math

import pytest

from repairs.gauges.base import registry
from repairs.gauges.base.propagation import sensitivity, spread
from repairs.gauges.base.registry import Gauge


def test_independent_doubts_add_by_their_squares():
    # By hand: 3·0.1 = 0.3 and 4·0.1 = 0.4 give 0.5.
    found = spread(lambda v: 3 * v["a"] + 4 * v["b"], {"a": 1.0, "b": -2.0}, {"a": 0.1, "b": 0.1})

    assert found == pytest.approx(0.5)


def test_what_has_no_doubt_or_is_not_there_adds_none():
    assert spread(lambda v: 5 * v["a"], {"a": 2.0}, {}) == 0.0
    assert spread(lambda v: 5 * v["a"], {"a": 0.0}, {"a": 0.0}) == 0.0
    assert spread(lambda v: 5 * v["a"], {"a": 2.0}, {"a": 0.2, "b": 7.0}) == pytest.approx(1.0)


def test_a_value_of_nought_is_moved_by_its_own_doubt():
    assert spread(lambda v: 5 * v["a"], {"a": 0.0}, {"a": 0.2}) == pytest.approx(1.0)


@pytest.mark.parametrize("middle", [2.0, -2.0])
def test_the_slope_is_taken_close_by_however_large_the_doubt(middle):
    # By hand: the slope of x³ at ±2 is 12; farther off it would be more.
    assert sensitivity(lambda v: v["x"] ** 3, {"x": middle}, "x", 1e4) == pytest.approx(
        12, abs=1e-6
    )
    assert sensitivity(lambda v: v["x"] ** 3, {"x": middle}, "x", 1e-4) == pytest.approx(
        12, abs=1e-6
    )


def test_the_slope_of_a_root_needs_no_negative_value():
    assert sensitivity(lambda v: math.sqrt(v["x"]), {"x": 4.0}, "x", 9.0) == pytest.approx(0.25)


@pytest.fixture
def one_gauge(monkeypatch):
    gauge = Gauge("b", "b 1", "Says.", {}, dict)
    monkeypatch.setattr(registry, "_GAUGES", {"b": gauge})
    return gauge


def test_a_name_is_given_to_one_gauge_only(one_gauge):
    with pytest.raises(RuntimeError, match="two gauges are called b"):
        registry.register(one_gauge)


def test_a_gauge_of_a_new_name_is_known_by_it(one_gauge):
    new = Gauge("a", "a 1", "Says.", {}, dict)

    assert registry.register(new) is new
    assert registry.gauges() == {"a": new, "b": one_gauge}
    assert list(registry.gauges()) == ["a", "b"]
