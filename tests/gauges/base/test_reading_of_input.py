"""What every gauge refuses of its input, with field and row; what it takes as left out."""

import math
from dataclasses import dataclass

import numpy as np
import pytest

from repairs.gauges.base import checks, given, plain
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.verdict import Limit


def refusal(ask):
    with pytest.raises(GaugeInputError) as refused:
        ask()
    return refused.value.code, refused.value.field, refused.value.row


@pytest.mark.parametrize(
    ("value", "code"),
    [
        (None, "missing"),
        ("", "missing"),
        ("1,5 mm", "not_a_number"),
        ([1], "not_a_number"),
        (True, "not_a_number"),
        (False, "not_a_number"),
        (math.nan, "not_a_number"),
        (math.inf, "not_a_number"),
        (10**400, "not_a_number"),
    ],
)
def test_what_is_no_number_is_refused_with_its_row(value, code):
    assert refusal(lambda: checks.number("lift_mm", value, row=3)) == (code, "lift_mm", 3)


@pytest.mark.parametrize(("value", "number"), [(0, 0.0), ("1.5", 1.5), (-2, -2.0), ("1e2", 100.0)])
def test_a_number_may_be_typed_as_text(value, number):
    assert checks.number("lift_mm", value) == number


@pytest.mark.parametrize(
    ("value", "code"), [(0.99, "too_small"), (1, None), (2, None), (2.01, "too_big")]
)
def test_both_ends_of_what_is_possible_are_possible(value, code):
    if code is None:
        assert checks.between("lift_mm", value, 1, 2, row=4) == value
    else:
        asked = lambda: checks.between("lift_mm", value, 1, 2, row=4)  # noqa: E731
        assert refusal(asked) == (code, "lift_mm", 4)


@pytest.mark.parametrize(
    ("value", "code"),
    [(0, "not_positive"), (-1e-9, "not_positive"), (1e-9, None), (2, None), (2.01, "too_big")],
)
def test_what_must_be_more_than_nothing(value, code):
    if code is None:
        assert checks.positive("lift_mm", value, most=2, row=4) == value
    else:
        asked = lambda: checks.positive("lift_mm", value, most=2, row=4)  # noqa: E731
        assert refusal(asked) == (code, "lift_mm", 4)


def test_a_refusal_tells_figures_to_six_digits():
    with pytest.raises(GaugeInputError, match=r"is 1\.23457; more than 0\.333333 is not possible"):
        checks.between("lift_mm", 1.23456789, 0, 1 / 3)


@pytest.mark.parametrize(
    ("values", "expected"),
    [
        (None, ("missing", "angles_deg", None)),
        ("12", ("missing", "angles_deg", None)),
        ([1.0], ("too_few", "angles_deg", None)),
        ([1.0] * 4, ("too_many", "angles_deg", None)),
        ([1.0, "x"], ("not_a_number", "angles_deg", 2)),
    ],
)
def test_a_list_of_numbers_has_a_length_and_its_rows_count_from_one(values, expected):
    asked = lambda: checks.numbers("angles_deg", values, least=2, most=3)  # noqa: E731
    assert refusal(asked) == expected


@pytest.mark.parametrize("values", [[1, "2"], (1, 2, 3), np.array([1.0, 2.0])])
def test_a_list_of_numbers_may_be_as_short_and_as_long_as_said(values):
    found = checks.numbers("angles_deg", values, least=2, most=3)

    assert found.dtype == np.float64
    assert found.tolist() == [1.0, 2.0, 3.0][: len(values)]


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (None, ("missing", "strings", None)),
        ("ab", ("missing", "strings", None)),
        ({"a": 1, "b": 2}, ("missing", "strings", None)),
        ([1], ("too_few", "strings", None)),
        ([1] * 4, ("too_many", "strings", None)),
    ],
)
def test_rows_must_be_a_list_of_some_length(value, expected):
    assert refusal(lambda: given.rows("strings", value, least=2, most=3)) == expected


def test_rows_may_be_as_few_and_as_many_as_said():
    for value in ([1, 2], [1, 2, 3]):
        assert given.rows("strings", value, least=2, most=3) == value


@pytest.mark.parametrize(
    ("value", "is_absent"),
    [(None, True), ("", True), ("  ", True), ("0", False), (0, False), (False, False), ([], False)],
)
def test_left_empty_is_left_out_and_nought_is_not(value, is_absent):
    assert given.absent({"lift_mm": value}, "lift_mm") is is_absent
    assert given.absent({}, "lift_mm")
    found = plain.maybe({"lift_mm": value}, "lift_mm", (0.0, 1.0)) if is_absent else None
    assert found is None


@pytest.mark.parametrize(
    ("value", "code"), [(None, "missing"), ("", "missing"), ("oak", "unknown"), (1, "unknown")]
)
def test_only_known_words_are_taken(value, code):
    known = ("gut", "steel")

    assert refusal(lambda: given.choice("core", value, known, row=2)) == (code, "core", 2)
    assert given.choice("core", "steel", known) == "steel"


def test_a_misspelt_name_is_refused_where_it_stands():
    given.only({"lift_mm": 1}, ["lift_mm", "name"])

    assert refusal(lambda: given.only({"lift": 1}, ["lift_mm"], field="strings", row=5)) == (
        "unknown",
        "strings",
        5,
    )
    assert refusal(lambda: given.only([1], ["lift_mm"], row=6)) == ("unknown", "input", 6)


LIMITS = {"load_n": Limit(1.0, 9.0, "N"), "onset_rpm": Limit(None, None, "rpm")}


def test_an_own_limit_takes_the_place_of_the_given_one_and_keeps_its_unit():
    own = {
        "limits": {
            "load_n": {"upper": "5", "lower": " "},
            "onset_rpm": {"lower": 2, "source": "us"},
        }
    }

    found = given.limits(own, LIMITS)

    assert found["load_n"] == Limit(None, 5.0, "N", "set by the house")
    assert found["onset_rpm"] == Limit(2.0, None, "rpm", "us")
    assert given.limits({}, LIMITS) == LIMITS
    assert LIMITS["load_n"].upper == 9.0


@pytest.mark.parametrize(
    ("own", "expected"),
    [
        ({"weight": {}}, ("unknown", "limits", None)),
        ([1], ("unknown", "limits", None)),
        ({"load_n": {"most": 1}}, ("unknown", "limits.load_n", None)),
        ({"load_n": {"upper": "x"}}, ("not_a_number", "limits.load_n.upper", None)),
        ({"load_n": {"lower": "x"}}, ("not_a_number", "limits.load_n.lower", None)),
    ],
)
def test_an_own_limit_that_is_not_understood_is_refused_by_its_name(own, expected):
    assert refusal(lambda: given.limits({"limits": own}, LIMITS)) == expected


def test_what_is_left_out_has_its_usual_value_and_what_is_needed_has_none():
    assert plain.optional({}, "lift_mm", 0.7, (1.0, 2.0)) == 0.7
    assert plain.optional({"lift_mm": 1}, "lift_mm", 0.7, (0.0, 2.0)) == 1.0
    assert plain.maybe({"lift_mm": 0}, "lift_mm", (0.0, 2.0)) == 0.0
    assert plain.needed({"lift_mm": 2}, "lift_mm", (0.0, 2.0), row=7) == 2.0
    ends = (0.0, 2.0)
    for ask in (
        lambda: plain.optional({"lift_mm": 3}, "lift_mm", 1.0, ends, row=7),
        lambda: plain.maybe({"lift_mm": 3}, "lift_mm", ends, row=7),
        lambda: plain.needed({"lift_mm": 3}, "lift_mm", ends, row=7),
    ):
        assert refusal(ask) == ("too_big", "lift_mm", 7)
    assert refusal(lambda: plain.needed({}, "lift_mm", ends, row=7)) == ("missing", "lift_mm", 7)


@dataclass
class Pair:
    """A place and its reading."""

    place: int
    reading: float


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (Pair(1, math.nan), {"place": 1, "reading": None}),
        (Pair, Pair),
        ({1: (1, 2.5)}, {"1": [1, 2.5]}),
        (np.array([1.5, np.inf]), [1.5, None]),
        (np.float64(2.5), 2.5),
        (np.float64(np.nan), None),
        (np.int64(3), 3),
        (-math.inf, None),
        (4, 4),
        ("a", "a"),
        (None, None),
    ],
)
def test_results_become_what_json_can_hold(value, expected):
    assert plain.plain(value) == expected


def test_a_refusal_names_its_row_only_where_it_has_one():
    with_row = GaugeInputError("not_positive", field="lift_mm", row=2, value="0")
    without = GaugeInputError("not_positive", field="lift_mm", value="0")

    assert str(with_row) == "lift_mm (row 2) is 0; it must be more than 0."
    assert str(without) == "lift_mm is 0; it must be more than 0."


def test_a_reason_has_places_of_its_own():
    said = GaugeInputError("no_answer", field="ratio", why="more than %(limit)s", limit=3)

    assert str(said) == "No value of ratio answers this: more than 3. Look at the other values."
