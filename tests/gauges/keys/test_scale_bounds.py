"""Chains of fifths, Scala files at their ends, keys as typed, and the start of the fit, by hand."""

from __future__ import annotations

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.gauges.keys import scala
from repairs.gauges.keys.keyboard import read_keys, tangents, wanted_cents
from repairs.gauges.keys.press import shape
from repairs.gauges.keys.robust import keep, start
from repairs.gauges.keys.scala import parse_scl
from repairs.gauges.keys.temperament import Scale, chain


def test_a_chain_of_pure_fifths_by_hand():
    # C–G–D–A–E–B–F♯ upwards by 701.955, F–B♭–E♭–A♭–D♭ downwards, all within one octave.
    assert chain((0.0,) * 6, (0.0,) * 5) == pytest.approx(
        (90.225, 203.910, 294.135, 407.820, 498.045, 611.730, 701.955, 792.180, 905.865, 996.090,
         1109.775, 1200.0), abs=1e-3,
    )  # fmt: skip


def test_a_narrowed_fifth_lowers_what_follows_above_and_raises_what_follows_below():
    # One fifth up by 2 cents less, all above it too; the first downwards by 3 less.
    narrowed = chain((0.0, 2.0, 0.0, 0.0, 0.0, 0.0), (3.0, 0.0, 0.0, 0.0, 0.0))

    assert narrowed == pytest.approx(
        (93.225, 201.910, 297.135, 405.820, 501.045, 609.730, 701.955, 795.180, 903.865, 999.090,
         1107.775, 1200.0), abs=1e-3,
    )  # fmt: skip


def test_a_step_of_a_scale_beyond_its_period_and_below_it():
    scale = Scale("three", "", (100.0, 500.0, 900.0))

    assert [scale.at(n) for n in (-4, -3, -1, 0, 1, 3, 5)] == [-1300, -900, -400, 0, 100, 900, 1400]
    # From step 2: 400 up to the next period, then 100 more.
    assert [scale.above(2, n) for n in (1, 2, 3)] == [400, 500, 900]


# Scala files


@pytest.mark.parametrize(
    ("pitch", "cents"),
    [
        ("9" * 12 + "/" + "9" * 11, 3986.3137), ("5" * 24, None), ("1/1", 0.0), ("3/2!x", 701.955),
        ("3 / 2 G", 701.955), ("+100.", 100.0), ("-5.5 low", -5.5), (".5", 0.5), ("2", 1200.0),
    ],
)  # fmt: skip
def test_a_pitch_of_up_to_twenty_four_signs_is_read(pitch, cents):
    # Ten to the twelfth over ten to the eleventh is ten: 1200·log₂ 10 = 3986.3137.
    (found,) = parse_scl(f"d\n1\n{pitch}\n").steps_cents

    assert found == pytest.approx(cents, abs=1e-3) if cents is not None else found > 90_000


@pytest.mark.parametrize(
    ("pitch", "code", "shown"),
    [
        ("5" * 25, "scl_pitch", "5" * 25),
        ("x" * 41, "scl_pitch", "x" * 40),
        ("0/5", "not_positive", "0/5"),
        ("5/0", "not_positive", "5/0"),
        ("3/2/1", "scl_pitch", "3/2/1"),
        ("386,3", "scl_pitch", "386,3"),
        ("100.5.5", "scl_pitch", "100.5.5"),
    ],
)
def test_what_is_no_pitch_is_shown_with_its_line(pitch, code, shown):
    with pytest.raises(GaugeInputError) as refused:
        parse_scl(f"d\n! c\n2\n{pitch}\n2\n")

    assert (refused.value.code, refused.value.field, refused.value.row) == (code, "scl", 4)
    assert refused.value.details["value"] == f"'{shown}'"


@pytest.mark.parametrize("count", ["x" * 41, "", "12x", "-3", "3.5", "1" * 10])
def test_what_is_no_number_of_notes_is_shown_with_its_line(count):
    with pytest.raises(GaugeInputError) as refused:
        parse_scl(f"d\n{count}\n2\n")

    assert (refused.value.code, refused.value.row) == ("scl_count", 2)
    assert refused.value.details["value"] == f"'{count[:40]}'"


def test_a_scale_of_one_to_a_thousand_notes():
    steps = "\n".join(f"{n}.0" for n in range(1, 1001))

    assert len(parse_scl(f"d\n1000\n{steps}\n").steps_cents) == 1000
    assert parse_scl(" d \n1 note\n2/1\n") == Scale("scl", "d", (1200.0,))
    for count, code, limit in (("0", "too_few", 1), ("1001", "too_many", 1000)):
        with pytest.raises(GaugeInputError) as refused:
            parse_scl(f"d\n{count}\n{steps}\n")
        assert (refused.value.code, refused.value.row) == (code, 2)
        assert refused.value.details["limit"] == limit


def test_a_file_of_two_hundred_thousand_signs_is_the_longest(monkeypatch):
    assert scala.MOST_CHARACTERS == 200_000
    monkeypatch.setattr(scala, "MOST_CHARACTERS", 6)

    assert parse_scl("d\n1\n2\n").steps_cents == (1200.0,)
    with pytest.raises(GaugeInputError) as refused:
        parse_scl("d\n1\n2\n\n")
    assert (refused.value.details["value"], refused.value.details["limit"]) == (7, 6)


def test_notes_that_are_not_as_many_as_said():
    with pytest.raises(GaugeInputError) as refused:
        parse_scl("d\n1\n! c\n2\n\n3\n4\n")
    assert (refused.value.code, refused.value.row) == ("too_many", 6)
    assert (refused.value.details["value"], refused.value.details["limit"]) == (3, 1)
    with pytest.raises(GaugeInputError) as refused:
        parse_scl("d\n3\n9/8\n2\n")
    assert (refused.value.details["value"], refused.value.details["limit"]) == (2, 3)


# Keys


@pytest.mark.parametrize(
    ("typed", "keys"),
    [
        (1, [1]),
        ("3", [1, 2, 3]),
        (3.0, [1, 2, 3]),
        ([2, "5", 72], [2, 5, 72]),
        (72, [*range(1, 73)]),
    ],
)
def test_keys_are_a_number_or_a_list(typed, keys):
    assert read_keys(typed) == keys


@pytest.mark.parametrize(
    ("typed", "code", "row"),
    [(True, "missing", None), (0.9, "too_small", None), (73, "too_big", None),
     ([1, 73], "too_big", 2), ([0], "too_small", 1), ([1, 2.5], "not_whole", 2),
     (list(range(1, 74)), "too_many", None), ([3, 3], "twice", 2), ([3, 2], "not_rising", 2)],
)  # fmt: skip
def test_keys_that_no_keyboard_has_are_refused(typed, code, row):
    with pytest.raises(GaugeInputError) as refused:
        read_keys(typed)

    assert (refused.value.code, refused.value.field, refused.value.row) == (code, "keys", row)


def test_four_octaves_are_the_highest_and_the_open_string_may_be_any_step():
    keys, _scale = wanted_cents({"temperament": "equal", "keys": [48], "open_step": 12})

    ((key, cents),) = keys
    assert (key, cents) == pytest.approx((48, 4800.0))
    for asked in ({"keys": [49]}, {"keys": 1, "open_step": 13}, {"keys": 1, "open_step": -1}):
        with pytest.raises(GaugeInputError) as refused:
            wanted_cents({"temperament": "equal", **asked})
        assert refused.value.code in ("too_big", "too_small")


def test_a_scale_that_falls_back_is_refused_with_both_places():
    with pytest.raises(GaugeInputError) as refused:
        wanted_cents({"temperament": "d\n3\n300.0\n200.0\n2\n", "keys": 3})

    assert (refused.value.code, refused.value.field, refused.value.row) == (
        "not_rising", "temperament", 2,
    )  # fmt: skip
    assert (refused.value.details["value"], refused.value.details["limit"]) == ("200", "300")


def test_places_of_an_octave_and_two_by_hand():
    first, second = tangents(400.0, [(12, 1200.0), (24, 2400.0)], 1.0)

    assert (first.from_nut_mm, first.to_bridge_mm, first.from_last_mm) == (200, 200, 200)
    assert (second.from_nut_mm, second.to_bridge_mm, second.from_last_mm) == (300, 100, 100)
    # 1200/ln 2 = 1731.234 over 200 and 100 mm; half and three quarters of the length's doubt.
    assert (first.cents_per_mm, second.cents_per_mm) == pytest.approx((8.65617, 17.31234))
    assert (first.u_from_nut_mm, second.u_from_nut_mm) == (0.5, 0.75)


def test_sharpening_takes_what_is_told_of_its_doubt():
    asked = {
        "tension_n": 66.3, "diameter_mm": 0.8, "youngs_gpa": 6, "length_mm": 345, "total_mm": 480,
        "from_nut_mm": 100, "push_mm": 1.5, "u_diameter_mm": 0, "u_length_mm": 0, "u_total_mm": 0,
        "u_from_nut_mm": 0, "u_youngs_gpa": 0, "u_push_mm": 0,
    }  # fmt: skip
    found = gauges()["sharpening"].run(asked)
    assert found["u_sharpening_cents"] == 0.0
    # Cents go with the square of the diameter and of the push, and with 1 over the tension and the
    # whole length: 1.2985 (published) times 2·0.01/0.8, 2·0.1/1.5, 1/66.3 and 5/480.
    for name, u, share in (
        ("u_diameter_mm", 0.01, 0.025), ("u_push_mm", 0.1, 2 / 15), ("u_tension_n", 1, 1 / 66.3),
        ("u_total_mm", 5, 5 / 480),
    ):  # fmt: skip
        doubt = gauges()["sharpening"].run({**asked, name: u})["u_sharpening_cents"]
        assert doubt == pytest.approx(1.2985 * share, rel=2e-3)
    usual = {
        k: v for k, v in asked.items() if k not in ("u_total_mm", "u_diameter_mm", "u_push_mm")
    }
    assert gauges()["sharpening"].run(usual)["u_sharpening_cents"] == pytest.approx(
        1.2985 * (0.025**2 + (2 / 15) ** 2 + (5 / 480) ** 2) ** 0.5, rel=2e-3
    )


# The start of the fit


def test_the_start_goes_through_the_keys_that_agree():
    ratios = np.array([1.1, 1.25, 1.5, 1.7, 2.0, 2.3, 2.5])
    off = 2.0 + 3.0 * ratios
    off[3] += 40.0

    line = np.column_stack([np.ones(7), ratios])
    bent = np.column_stack([line, shape(ratios)])
    for design in (line, bent):
        assert start(design, off) == pytest.approx([0, 0, 0, 40, 0, 0, 0], abs=1e-6)
    assert start(bent, off + 0.7 * shape(ratios)) == pytest.approx([0, 0, 0, 40, 0, 0, 0], abs=1e-6)


@pytest.mark.parametrize(
    ("wrong", "kept"), [(1.3, True), (1.9, False), (-1.3, True), (-1.9, False)]
)
def test_a_key_beyond_three_deviations_is_set_aside(wrong, kept):
    # All others are right, so the scatter is one reading's 0.5 and the cut 1.5.
    ratios, off = np.linspace(1.1, 4.0, 23), np.zeros(23)
    off[11] = wrong

    found = keep(ratios, off, 0.5, 5.0 * ratios, shape(ratios))

    assert (11 in found.indices) is kept
    assert (len(found.indices), len(found.aside)) == ((23, 0) if kept else (22, 1))
    assert found.scatter.tolist() == [0.5] * 23
