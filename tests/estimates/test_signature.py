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
        "{}",
        "7",
        "null",
        '["abc"]',
        "[[1, 2]]",
        "[[[0.1]]]",
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


def test_a_signature_is_drawn_with_its_name():
    svg = signature_svg(SIGNATURE, "Signature of <Odon>")

    assert "M30.0 60.0L90.0 20.0L150.0 80.0M180.0 40.0L270.0 50.0" in svg
    assert "Signature of &lt;Odon&gt;" in svg
    assert signature_svg([], "x") == ""
