"""Dates as makers' labels and catalogues give them."""

from __future__ import annotations

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from repairs.instruments.dating import Years, read_years
from repairs.instruments.models import Instrument


@pytest.mark.parametrize(
    ("words", "first", "last"),
    [
        ("1771", 1771, 1771),
        ("  1771 ", 1771, 1771),
        ("1650–1720", 1650, 1720),
        ("1650-1720", 1650, 1720),
        ("1650 — 1720", 1650, 1720),
        ("1650/1720", 1650, 1720),
        ("1650 to 1720", 1650, 1720),
        ("between 1650 and 1720", 1650, 1720),
        ("entre 1650 et 1720", 1650, 1720),
        ("de 1650 à 1720", 1650, 1720),
        ("1700–1700", 1700, 1700),
        ("c. 1720", 1710, 1730),
        ("c 1720", 1710, 1730),
        ("ca. 1720", 1710, 1730),
        ("Circa 1720", 1710, 1730),
        ("about 1720", 1710, 1730),
        ("vers 1720", 1710, 1730),
        ("environ 1720", 1710, 1730),
        ("before 1800", 1750, 1800),
        ("avant 1800", 1750, 1800),
        ("after 1750", 1750, 1800),
        ("après 1750", 1750, 1800),
        ("18th century", 1701, 1800),
        ("18th  Century", 1701, 1800),
        ("XVIIIe siècle", 1701, 1800),
        ("XVIIIᵉ siècle", 1701, 1800),
        ("18e siècle", 1701, 1800),
        ("18e s.", 1701, 1800),
        ("XIXe siecle", 1801, 1900),
        ("21st century", 2001, 2100),
        ("1000", 1000, 1000),
        ("2100", 2100, 2100),
    ],
)
def test_a_date_gives_the_first_and_last_year(words, first, last):
    assert read_years(words) == Years(first, last)


@pytest.mark.parametrize("words", ["", "   ", "\n"])
def test_no_date_gives_no_years(words):
    assert read_years(words) is None


def refusal(words: str) -> str:
    with pytest.raises(ValidationError) as refused:
        read_years(words)
    return refused.value.messages[0]


@pytest.mark.parametrize("words", ["1720–1650", "1720-1650", "between 1720 and 1650"])
def test_a_range_that_ends_before_it_starts_is_refused_with_both_years(words):
    said = refusal(words)

    assert said == ("The range ends (1650) before it starts (1720). Write the earlier year first.")


@pytest.mark.parametrize(
    "words",
    [
        "long ago",
        "17711",
        "177",
        "1771 or so",
        "1771-72",
        "5th century",
        "99th century",
        "c. 1720–1730",
        "-1771",
        "1771–",
        "%(words)s",
        "XVIII",
        "🎻",
    ],
)
def test_what_is_no_date_is_refused_and_repeated(words):
    said = refusal(words)

    assert said == (
        f"“{words}” cannot be read as a date. Write 1771, 1650–1720, c. 1720 or 18th century."
    )


@pytest.mark.parametrize("words", ["3000", "0999", "1771–3000", "0000", "c. 1005", "after 2090"])
def test_years_that_no_instrument_has_are_refused(words):
    assert refusal(words) == "The years must lie between 1000 and 2100."


def test_the_database_keeps_no_range_that_ends_before_it_starts(vielle):
    with pytest.raises(IntegrityError), transaction.atomic():
        Instrument.objects.filter(pk=vielle.pk).update(year_first=1720, year_last=1650)
