"""A drawn signature: what is taken, what is refused, how it is drawn again."""

from __future__ import annotations

import json

import pytest

from repairs.estimates.consent.signature import SignatureError, read_strokes, signature_svg
from tests.factories import SIGNATURE


def test_strokes_are_read_as_they_were_drawn():
    assert read_strokes(json.dumps(SIGNATURE)) == SIGNATURE


def test_nothing_drawn_is_no_stroke():
    assert read_strokes("") == read_strokes("  ") == read_strokes("[]") == []


def test_points_are_kept_to_a_ten_thousandth():
    assert read_strokes("[[[0.123456, 0.2], [0.9, 1]]]") == [[[0.1235, 0.2], [0.9, 1.0]]]


@pytest.mark.parametrize(
    "sent",
    [
        "no json",
        "7",
        "null",
        '["abc"]',
        "[[1, 2]]",
        "[[[0.1]]]",
        "[[[0.1, 0.1, 0.1], [0.9, 0.9, 0.9]]]",
        "[[[0.1, 0.1], [0.9, 1.0001]]]",
        "[[[0.5, 0], [0.6499, 0]]]",
        "{}",
        '[[["a", "b"], [0.9, 0.9]]]',
        "[[[true, false], [0.9, 0.9]]]",
        "[[[NaN, 0.1], [0.9, 0.9]]]",
        "[[[0.1, -0.1], [0.9, 0.9]]]",
        "[[[0.1, 1e999], [0.9, 0.9]]]",
        "[[[0.5, 0.5]]]",
        "[[[0.5, 0.5], [0.55, 0.5]]]",
        json.dumps([[[0.1, 0.1], [0.9, 0.9]]] * 81),
        json.dumps([[[0.1, 0.1]] * 4001]),
        "[" * 100_000,
        " " + "[" * 200_000,
    ],
)
def test_what_is_no_signature_is_refused(sent):
    with pytest.raises(SignatureError):
        read_strokes(sent)


@pytest.mark.parametrize(
    "sent",
    [
        "[[[0, 0], [0.15, 0]]]",  # a shorter one is a slip of the finger
        "[[[0, 0], [1, 1]]]",  # from corner to corner
        json.dumps([[[0.1, 0.1], [0.9, 0.9]]] * 80),
        json.dumps([[[0, 0], [1, 1]] * 2000]),
        json.dumps(SIGNATURE).ljust(120_000),
    ],
    ids=["as short as can be", "to the edges", "80 strokes", "4000 points", "120000 letters"],
)
def test_a_signature_at_the_limit_is_taken(sent):
    assert read_strokes(sent) == json.loads(sent)


def test_a_signature_of_one_letter_too_many_is_refused():
    with pytest.raises(SignatureError, match="too long"):
        read_strokes(json.dumps(SIGNATURE).ljust(120_001))


def test_a_dot_is_drawn_as_one():
    assert "M30.0 60.0L30.0 60.0M" in signature_svg([[[0.1, 0.6]], *SIGNATURE], "Odon")


def test_a_signature_is_drawn_with_its_name():
    svg = signature_svg(SIGNATURE, "Signature of <Odon>")

    assert "M30.0 60.0L90.0 20.0L150.0 80.0M180.0 40.0L270.0 50.0" in svg
    assert "Signature of &lt;Odon&gt;" in svg
    assert signature_svg([], "x") == ""
