"""A figure inside a sentence is written as its reader writes figures."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django import forms
from django.utils import translation

from repairs.invoices.refusals import CreditTooLargeError
from repairs.money import exact_words
from repairs.screens.fields import QuantityField


def refusal_of(field: QuantityField, typed: str) -> str:
    with pytest.raises(forms.ValidationError) as refusal:
        field.clean(typed)
    return " ".join(refusal.value.messages)


@pytest.mark.parametrize(
    ("unit", "typed", "says"),
    [
        ("", "0", "Less than 0.5 is not possible here."),
        ("", "90", "More than 80 is not possible here: check the figure."),
        ("mm", "0", "Less than 0.5 mm is not possible here."),
        ("%", "90", "More than 80 % is not possible here: check the unit."),
    ],
)
def test_a_limit_is_said_with_its_unit_and_without_a_gap_where_there_is_none(unit, typed, says):
    field = QuantityField(unit=unit, least="0.50", most="80")

    assert refusal_of(field, typed) == says


@pytest.mark.parametrize("unit", ["", "mm"])
def test_a_limit_bears_the_comma_of_the_reader(unit):
    with translation.override("fr"):
        said = refusal_of(QuantityField(unit=unit, least="0.0001", most="80"), "0")

    assert "0,0001" in said
    assert "  " not in said


def test_a_figure_in_a_refusal_bears_the_comma_of_the_reader():
    refusal = CreditTooLargeError(number="F", left="1", wanted="2", rate=Decimal("5.50"))

    with translation.override("fr"):
        assert "5,5" in str(refusal)
    with translation.override("en"):
        assert "5.5 %" in str(refusal)


def test_a_third_place_that_somebody_wrote_is_not_hidden():
    with translation.override("fr"):
        assert exact_words(Decimal("10.005")) == "10,005"
        assert exact_words(Decimal("10")) == "10,00"
