"""What a tuner showed, as it is typed: one value for all keys or one for each, and what is left."""

from __future__ import annotations

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.keys.correction import Flag
from repairs.gauges.keys.typed import readings_of

KEYS = [(7, 701.955), (12, 1200.0)]
GIVEN = {"length_mm": 345, "measured_cents": [702, 1201]}


def reading(**more):
    (found,) = readings_of({**GIVEN, **more}, KEYS)
    return found


def test_what_is_taken_where_nothing_is_typed():
    found = reading()

    assert (found.name, found.length_mm, found.open_cents) == ("1", 345, 0.0)
    assert (found.u_cents, found.u_open_cents, found.u_length_mm) == (0.5, 0.5, 0.5)
    assert (found.flags, found.gaps_mm) == ([None, None], [None, None])
    assert found.measured_cents == pytest.approx([702, 1201])
    assert reading(offset_mm=3).flags == [Flag(3.0, 0.0, 45.0, 0.1)] * 2


@pytest.mark.parametrize(
    ("asked", "flags"),
    [
        ({"offset_mm": "3", "turn_deg": -5}, [Flag(3.0, -5.0), Flag(3.0, -5.0)]),
        ({"offset_mm": [3, ""]}, [Flag(3.0), None]),
        ({"offset_mm": [None, 2], "turn_deg": [9, 0]}, [None, Flag(2.0)]),
        ({"offset_mm": [0, 2], "turn_deg": ["", 7]}, [Flag(0.0), Flag(2.0, 7.0)]),
        ({"turn_deg": 9}, [None, None]),
        ({"offset_mm": 3, "most_turn_deg": 30, "u_offset_mm": 0}, [Flag(3.0, 0.0, 30.0, 0.0)] * 2),
    ],
)
def test_a_flag_of_each_key_or_one_for_all(asked, flags):
    assert reading(**asked).flags == flags


def test_a_gap_of_each_key_or_one_for_all():
    assert reading(gap_mm=[0, ""]).gaps_mm == [0, None]
    assert reading(gap_mm="1.5").gaps_mm == [1.5, 1.5]


@pytest.mark.parametrize(
    ("kind", "open_cents", "typed", "cents", "u_open"),
    [
        ("above_open", None, 702, 702.0, 0.5),
        ("above_open", 3, 705, 702.0, 0.5),
        # The fifth is wanted at 701.955; the seventh equal step stands at 700.
        ("off_wanted", None, 1, 702.955, None),
        ("off_wanted", 3, 4, 702.955, 0.5),
        ("off_equal", None, 4, 704.0, None),
        ("off_equal", -1, 4, 705.0, 0.5),
    ],
)
def test_what_the_tuner_showed_is_counted_from_the_open_string(
    kind, open_cents, typed, cents, u_open
):
    found = reading(reading=kind, open_cents=open_cents, measured_cents=[typed, None])

    assert found.measured_cents[0] == pytest.approx(cents)
    assert found.measured_cents[1] is None
    assert (found.open_cents, found.u_open_cents) == (open_cents or 0.0, u_open)


def test_a_doubt_that_is_told_stands_also_for_the_open_string():
    assert (reading(u_cents=0.2).u_cents, reading(u_cents=0.2).u_open_cents) == (0.2, 0.2)
    assert reading(u_cents=0.2, u_open_cents=0).u_open_cents == 0.0


@pytest.mark.parametrize("beside", [200.1, -200.1])
def test_a_reading_more_than_a_tone_beside_is_of_another_key(beside):
    with pytest.raises(GaugeInputError) as refused:
        reading(measured_cents=[702, 1200 + beside])

    assert (refused.value.field, refused.value.row) == ("measured_cents (1)", 2)
    at_end = reading(measured_cents=[702, 1200 + beside / 200.1 * 200])
    assert at_end.measured_cents[1] == pytest.approx(1200 + beside / 200.1 * 200)


def test_of_several_strings_each_has_its_number_and_the_length_it_tells():
    strings = [{"measured_cents": [702, 1200]}, {"measured_cents": ["", 1200], "length_mm": 350}]

    first, second = readings_of({"length_mm": 345, "strings": strings}, KEYS)

    assert (first.name, first.length_mm, second.name, second.length_mm) == ("1", 345, "2", 350)
    with pytest.raises(GaugeInputError) as refused:
        readings_of({"length_mm": 345, "strings": [*strings, {"cents": 3}]}, KEYS)
    assert (refused.value.code, refused.value.field, refused.value.row) == ("unknown", "strings", 3)


@pytest.mark.parametrize("gap", [-1, 0, 20])
def test_a_string_may_rest_a_little_on_its_tangent(gap):
    assert reading(gap_mm=gap).gaps_mm == [gap, gap]
    for beyond in (-1.1, 20.1):
        with pytest.raises(GaugeInputError) as refused:
            reading(gap_mm=[1, beyond])
        assert (refused.value.field, refused.value.row) == ("gap_mm (1)", 2)


@pytest.mark.parametrize(
    ("name", "least", "most"),
    [("offset_mm", 0, 10), ("turn_deg", -80, 80), ("most_turn_deg", 1, 89), ("u_offset_mm", 0, 5)],
)
def test_a_flag_is_as_far_out_and_as_much_turned_as_it_can_be(name, least, most):
    for end, beyond in ((least, least - 0.1), (most, most + 0.1)):
        assert reading(**{"offset_mm": 3, name: end}).flags[0] is not None
        with pytest.raises(GaugeInputError) as refused:
            reading(**{"offset_mm": 3, name: beyond})
        assert refused.value.field.startswith(name)
