"""A value against its limits: where the word turns over, and how likely it lies inside."""

import math

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.verdict import Limit, judge

# With u = 2 and k = 1.5 the margin is 3, which the machine holds exactly.
BETWEEN, UP_TO, FROM = Limit(10.0, 20.0, "mm"), Limit(None, 20.0, "mm"), Limit(10.0, None, "mm")


@pytest.mark.parametrize(
    ("limit", "value", "word"),
    [
        (BETWEEN, 13.0, "inside"),
        (BETWEEN, 17.0, "inside"),
        (BETWEEN, 12.99, "doubtful"),
        (BETWEEN, 17.01, "doubtful"),
        (BETWEEN, 7.0, "doubtful"),
        (BETWEEN, 23.0, "doubtful"),
        (BETWEEN, 6.99, "outside"),
        (BETWEEN, 23.01, "outside"),
        (UP_TO, -1e9, "inside"),
        (UP_TO, 17.0, "inside"),
        (UP_TO, 23.01, "outside"),
        (FROM, 1e9, "inside"),
        (FROM, 13.0, "inside"),
        (FROM, 6.99, "outside"),
        (Limit(10.0, 14.0, "mm"), 12.0, "doubtful"),  # narrower than twice the margin
    ],
)
def test_the_word_turns_over_a_margin_within_and_beyond_each_limit(limit, value, word):
    assert judge(value, 2.0, limit, k=1.5).word == word


@pytest.mark.parametrize(
    ("value", "word"),
    [(18.36, "doubtful"), (18.35, "inside"), (21.64, "doubtful"), (21.65, "outside")],
)
def test_unless_said_otherwise_the_margin_is_the_one_sided_95_percent(value, word):
    # JCGM 106:2012, annex A: 1.645 standard uncertainties.
    assert judge(value, 1.0, UP_TO).word == word


@pytest.mark.parametrize(
    ("value", "u", "limit", "percent"),
    [
        # Tables of the normal distribution: ±1σ hold 68.269 %, ±2σ 95.450 %, below +1σ 84.134 %.
        (15.0, 5.0, BETWEEN, 68.269),
        (15.0, 2.5, BETWEEN, 95.450),
        (20.0, 5.0, BETWEEN, 47.725),  # half, less what lies two below
        (10.0, 5.0, FROM, 50.0),
        (15.0, 5.0, FROM, 84.134),
        (15.0, 5.0, UP_TO, 84.134),
        (25.0, 5.0, UP_TO, 15.866),
        (10.0, 0.0, BETWEEN, 100.0),
        (20.0, 0.0, BETWEEN, 100.0),
        (9.99, 0.0, BETWEEN, 0.0),
        (20.01, 0.0, BETWEEN, 0.0),
    ],
)
def test_the_chance_of_lying_inside(value, u, limit, percent):
    assert judge(value, u, limit).inside_pct == pytest.approx(percent, abs=0.001)


@pytest.mark.parametrize(
    ("value", "word"), [(10.0, "inside"), (20.0, "inside"), (20.01, "outside")]
)
def test_without_doubt_nothing_is_doubtful(value, word):
    assert judge(value, 0.0, BETWEEN).word == word


@pytest.mark.parametrize(
    ("u", "limit"), [(1.0, None), (1.0, Limit(None, None, "mm")), (None, BETWEEN)]
)
def test_without_a_limit_or_its_doubt_a_value_is_not_judged(u, limit):
    found = judge(15.0, u, limit)

    assert (found.word, found.inside_pct) == ("not_judged", None)
    assert (found.value, found.u, found.limit) == (15.0, u, limit)


def test_a_limit_with_one_end_is_not_open():
    assert [one.is_open for one in (BETWEEN, UP_TO, FROM)] == [False] * 3
    assert Limit(None, None, "mm").is_open


@pytest.mark.parametrize(
    ("value", "u", "code", "field"),
    [
        (math.nan, 1.0, "not_a_number", "value"),
        (15.0, math.inf, "not_a_number", "u"),
        (15.0, -0.01, "negative", "u"),
    ],
)
def test_what_is_no_figure_is_not_judged_but_refused(value, u, code, field):
    with pytest.raises(GaugeInputError) as refusal:
        judge(value, u, BETWEEN)

    assert (refusal.value.code, refusal.value.field) == (code, field)


@pytest.mark.parametrize(
    ("lower", "upper", "code", "field"),
    [
        (20.0, 19.99, "too_big", "lower"),
        (math.nan, None, "not_a_number", "lower"),
        (None, "wide", "not_a_number", "upper"),
    ],
)
def test_a_limit_that_nothing_can_keep_is_refused(lower, upper, code, field):
    with pytest.raises(GaugeInputError) as refusal:
        Limit(lower, upper, "mm")

    assert (refusal.value.code, refusal.value.field) == (code, field)


def test_a_limit_may_be_one_single_value():
    assert judge(20.0, 0.0, Limit(20.0, 20.0, "mm")).word == "inside"


@pytest.mark.parametrize("width", [0.0, 0.5, 1.0, 2.0, 3.29, 4.0, 5.0, 8.0])
def test_two_limits_keep_the_promised_five_per_cent(width):
    """Found by it: limits closer than some u were wrong in up to 10 %.

    Both ways: of readings of a true value, how many get a wrong word; and of what is called inside
    by a value, how often the truth lies outside (JCGM 106:2012, 9.3 and 9.4).
    """
    limit = Limit(-width / 2, width / 2, "mm")
    values = np.linspace(-6 - width, 6 + width, 1201)
    words = np.array([judge(float(v), 1.0, limit).word for v in values])
    step = values[1] - values[0]

    for true in (-width / 2, 0.0, width / 4, width / 2):
        share = np.exp(-((values - true) ** 2) / 2) * step / math.sqrt(2 * math.pi)
        assert share[words == "outside"].sum() < 0.0515
    for true in (width / 2 + 1e-6, width / 2 + 0.5):
        share = np.exp(-((values - true) ** 2) / 2) * step / math.sqrt(2 * math.pi)
        assert share[words == "inside"].sum() < 0.0515
    for value, word in zip(values, words, strict=True):
        inside = judge(float(value), 1.0, limit).inside_pct or 0.0
        assert word != "inside" or inside >= 94.9
        assert word != "outside" or inside <= 5.01


def test_by_simulation_no_word_is_wrong_more_often_than_promised():
    rng = np.random.default_rng(106)
    for width in (0.3, 2.0, 3.4, 4.0):
        limit = Limit(0.0, width, "mm")
        true = rng.uniform(-4, 4 + width, 6000)
        words = [judge(float(v), 1.0, limit).word for v in true + rng.standard_normal(6000)]
        is_in = (true >= 0) & (true <= width)
        inside = np.array([word == "inside" for word in words])
        outside = np.array([word == "outside" for word in words])
        assert (is_in & outside).sum() <= 0.05 * outside.sum()
        assert (~is_in & inside).sum() <= 0.06 * max(inside.sum(), 1)


def test_one_limit_and_two_far_ones_are_judged_as_before():
    assert judge(1.645, 1.0, Limit(0.0, None, "mm")).word == "inside"
    assert judge(-1.646, 1.0, Limit(0.0, 100.0, "mm")).word == "outside"
    assert judge(-1.8, 1.0, Limit(0.0, 0.0, "mm")).word == "doubtful"
    assert judge(-1.97, 1.0, Limit(0.0, 0.0, "mm")).word == "outside"
    assert judge(0.0, 0.0, Limit(0.0, 0.0, "mm")).word == "inside"
