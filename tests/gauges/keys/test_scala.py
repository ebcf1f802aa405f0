"""Scala files: read as the format says, refused by their line, never by a crash."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.keys import keyboard, scala
from repairs.gauges.keys.temperament import ratio_cents


def _tangents(length_mm, name, keys):
    return keyboard.run_tangents({"length_mm": length_mm, "temperament": name, "keys": keys})[
        "keys"
    ]


MEANTONE = """! meanquar.scl
!
1/4-comma meantone scale, written out
 12
!
 76.04900
 193.15686
 310.26471
 5/4
 503.42157
 579.47057
 696.57843
 25/16
 889.73529
 1006.84314
 1082.89214
 2/1
"""


def test_a_scala_file_places_as_the_temperament_does():
    by_file = _tangents(345, MEANTONE, 24)
    by_name = _tangents(345, "meantone", 24)

    for one, other in zip(by_file, by_name, strict=True):
        assert one["from_nut_mm"] == pytest.approx(other["from_nut_mm"], abs=1e-4)


def test_the_lenient_corners_of_the_format():
    lines = ["! c", "", " 5 notes", "!", "100. cents", "\t9/8   D", ".5e! x", " 4 / 3", "2 octave"]
    text = "\ufeff" + "\r\n".join(lines) + "\r\n"
    with pytest.raises(GaugeInputError) as refusal:
        scala.parse_scl(text)
    assert refusal.value.row == 7

    scale = scala.parse_scl(text.replace(".5e!", "386.!"))

    assert scale.description == ""
    assert scale.steps_cents == pytest.approx((100.0, 203.910, 386.0, 498.045, 1200.0), abs=0.001)


def test_another_number_of_notes_and_another_period():
    text = "Bohlen-Pierce\n13\n" + "\n".join(f"{ratio_cents(3) * n / 13:.6f}" for n in range(1, 14))

    keys = _tangents(345, text, [13, 26])

    assert keys[0]["to_bridge_mm"] == pytest.approx(345 / 3, abs=1e-4)
    assert keys[1]["to_bridge_mm"] == pytest.approx(345 / 9, abs=1e-4)


@pytest.mark.parametrize(
    ("text", "row", "words"),
    [
        ("only a description\n", 2, "how many notes"),
        ("! nothing\n! at all", None, "missing"),
        ("d\ntwelve\n2\n", 2, "how many notes"),
        ("d\n-1\n2\n", 2, "how many notes"),
        ("d\n2.5\n9/8\n2\n", 2, "how many notes"),
        ("d\n0\n", 2, "at least 1"),
        ("d\n99999\n2\n", 2, "more than 1000"),
        ("! a\nd\n! b\n2\n386,31\n2\n", 5, "with a point"),
        ("d\n2\n3/2/1\n2\n", 3, "or a ratio"),
        ("d\n2\n3/ 2 / 1\n2\n", 3, "or a ratio"),
        ("d\n2\n-3/2\n2\n", 3, "or a ratio"),
        ("d\n2\n3/x\n2\n", 3, "or a ratio"),
        ("d\n2\nnan\n2\n", 3, "or a ratio"),
        ("d\n2\n1e3.\n2\n", 3, "or a ratio"),
        ("d\n2\n٣/٢\n2\n", 3, "or a ratio"),
        ("d\n2\n3/0\n2\n", 3, "more than 0"),
        ("d\n2\n" + "9" * 30 + "/3\n2\n", 3, "or a ratio"),
        ("d\n3\n9/8\n2\n", None, "at least 3"),
        ("d\n1\n3/2\n2/1\n", 4, "more than 1"),
        ("d\n2\n500.0\n400.0\n", 2, "rising order"),
        ("d\n2\n-5.0\n1200.0\n", 1, "rising order"),
        ("d\n2\n5\n2/1\n", 2, "rising order"),
        ("d\n1\n100\n", 1, "Check the unit"),
    ],
)
def test_a_wrong_scala_file_is_refused_by_its_line(text, row, words):
    with pytest.raises(GaugeInputError) as refusal:
        _tangents(345, text, 2)

    assert words in str(refusal.value)
    assert refusal.value.row == row


def test_a_huge_file_is_refused():
    with pytest.raises(GaugeInputError, match="characters"):
        scala.parse_scl("d\n1\n2\n" + "!\n" * 200_000)


@settings(deadline=None, max_examples=200, derandomize=True)
@given(st.text(alphabet="0123456789./! \n\rax,-", max_size=60))
def test_any_text_is_read_or_refused(text):
    try:
        scale = scala.parse_scl(text)
    except GaugeInputError:
        return
    assert all(math.isfinite(c) for c in scale.steps_cents)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(st.lists(st.floats(0.01, 4000).map(lambda c: round(c, 5)), min_size=1, max_size=40))
def test_what_is_written_is_read(cents):
    text = f"any\n{len(cents)}\n" + "\n".join(f" {c:.5f}" for c in cents)

    assert scala.parse_scl(text).steps_cents == pytest.approx(cents, abs=1e-9)
