"""Values of an instrument: read as people write them, or refused and kept in view."""

from __future__ import annotations

import html
from decimal import Decimal
from typing import Any

import pytest

from repairs.instruments.models import Instrument


def text_of(answer: Any) -> str:
    return html.unescape(answer.text)


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("345,5", "345.50"),
        ("345.5", "345.50"),
        (" 345 ", "345"),
        ("1 234,5", "1234.50"),
        ("1\u202f234,5", "1234.50"),
        ("0,01", "0.01"),
        ("4999", "4999"),
    ],
)
def test_a_size_is_read_with_a_comma_or_a_point(send, typed, kept):
    send(size_body_length=typed)

    assert Instrument.objects.get().dimensions.get().value_mm == Decimal(kept)


def test_a_size_left_empty_is_not_measured(client, send):
    send(size_body_length="")

    entered = Instrument.objects.get()
    assert not entered.dimensions.exists()
    assert "not measured" in client.get(entered.get_absolute_url()).text


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("0", "Less than 0.01 mm is not possible here."),
        ("-5", "Less than 0.01 mm is not possible here."),
        ("10000", "More than 4999 mm is not possible here: check the unit."),
        ("1e9", "More than 4999 mm is not possible here: check the unit."),
        ("about 40", "“about 40” is not a number."),
        ("345,5,5", "“345,5,5” is not a number."),
        ("NaN", "“NaN” is not a number."),
        ("-Infinity", "“-Infinity” is not a number."),
        ("345.555", "no more than 2 decimal places"),
    ],
)
def test_a_size_that_cannot_be_is_refused_and_stays_in_the_form(send, typed, sentence):
    answer = send(size_body_length=typed)

    page = text_of(answer)
    assert sentence in page
    assert f'value="{typed}"' in page
    assert not Instrument.objects.exists()


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("mass_g", "-1"),
        ("mass_g", "a kilo"),
        ("mass_g", "9" * 30),
        ("key_count", "-3"),
        ("key_count", "99999999"),
        ("declared_value", "-1"),
        ("declared_value", "1e30"),
        ("maker", "x" * 161),
        ("serial", "x" * 81),
        ("kind", "theremin"),
    ],
)
def test_any_other_value_that_cannot_be_is_refused_too(send, field, typed):
    answer = send(**{field: typed})

    assert answer.status_code == 200
    assert "Please mend" in answer.text
    assert not Instrument.objects.exists()
