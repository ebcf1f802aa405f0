"""Durations as people type them; what could be read two ways is refused or told."""

from __future__ import annotations

import pytest
from django import forms

from repairs.screens.minutes import MinutesField, read_minutes, understood_words


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [
        ("90", 90),
        ("90 min", 90),
        ("90'", 90),
        ("1 h 30", 90),
        ("1h30", 90),
        ("1 h 30 min", 90),
        ("1:30", 90),
        ("1:05", 65),
        ("1,5", 90),
        ("1.5 h", 90),
        ("2 heures", 120),
        ("0 h 59", 59),
        ("", None),
        (None, None),
    ],
)
def test_what_is_typed_is_read_as_minutes(typed, minutes):
    assert read_minutes(typed) == minutes


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("1 h 75", "behind hours the minutes stay below 60"),
        ("1:60", "behind hours the minutes stay below 60"),
        ("1 30", "is not a duration"),
        ("1,5 h 30", "is not a duration"),
        ("an hour", "is not a duration"),
        ("²", "is not a duration"),
        ("1e3", "is not a duration"),
    ],
)
def test_a_slip_is_refused_and_nothing_is_said_of_millimetres(typed, sentence):
    with pytest.raises(forms.ValidationError, match=sentence) as refused:
        MinutesField().clean(typed)

    assert "345,5" not in str(refused.value)


def test_what_was_understood_is_told_also_of_a_bare_number():
    assert (
        understood_words("1 h 30", 90) == "“1 h 30” is taken as 90 min, which is 1\u00a0h\u00a030."
    )
    assert understood_words("90", 90) == "“90” is taken as 90 min, which is 1\u00a0h\u00a030."
    assert understood_words("15", 15) == "“15” is taken as 15 min."
    assert understood_words("", None) == ""
