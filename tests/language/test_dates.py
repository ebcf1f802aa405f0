"""How days are written: in French the first of a month is an ordinal, no other day is."""

from __future__ import annotations

import datetime as dt

import pytest
from django.template import Context, Template
from django.utils import translation
from django.utils.formats import date_format


@pytest.mark.parametrize(
    ("language", "day", "said"),
    [
        ("fr", dt.date(2027, 5, 1), "1er mai 2027"),
        ("fr", dt.date(2027, 5, 2), "2 mai 2027"),
        ("fr", dt.date(2027, 5, 21), "21 mai 2027"),
        ("en", dt.date(2027, 5, 1), "1 May 2027"),
    ],
)
def test_the_first_of_a_month_is_an_ordinal_in_french(language, day, said):
    with translation.override(language):
        shown = Template('{{ day|date:"DATE_FORMAT" }}').render(Context({"day": day}))

        assert date_format(day, "DATE_FORMAT") == said
        assert shown == said


def test_a_moment_of_the_first_is_written_alike():
    with translation.override("fr"):
        assert (
            date_format(dt.datetime(2027, 5, 1, 9, 5, tzinfo=dt.UTC), "DATETIME_FORMAT")
            == "1er mai 2027 à 09:05"
        )


def test_the_ordinals_of_english_stay_what_they_were():
    with translation.override("en"):
        assert date_format(dt.date(2027, 5, 2), "jS F") == "2nd May"
