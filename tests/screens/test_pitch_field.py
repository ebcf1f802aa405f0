"""A pitch typed into a form: in Hz or as a note, and nothing guessed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django import forms
from django.utils import translation

from repairs.screens.fields import PitchField

FIELD = PitchField(least="1", most="20000")


@pytest.mark.parametrize(
    ("typed", "hz"),
    [
        ("392", "392"),
        ("415,3 Hz", "415.3"),
        # 440·2^(k/12), equal temperament from the fork of ISO 16:1975.
        ("G4", "392.00"),  # scientific, Young 1939
        ("sol3", "392.00"),  # the French count
        ("g′", "392.00"),  # Helmholtz 1863
        ("A4 +12", "443.06"),
        ("fa#1", "92.50"),
        ("", None),
    ],
)
def test_hz_and_notes_are_read_alike(typed, hz):
    assert FIELD.clean(typed) == (None if hz is None else Decimal(hz))


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("-4", "Less than 1 Hz is not possible here."),
        ("30000", "More than 20000 Hz is not possible here: check the unit."),
        ("4,4,0", "“4,4,0” is not a number."),
        ("g1", "“g1” may be more than one note"),
        ("h", "“h”: H is not read here."),
        ("la0", "“la0”: notes below do1 are counted in several ways."),
        ("A4 +120", "“A4 +120”: beyond 100 cents it is another note."),
    ],
)
def test_what_is_none_or_several_is_refused_with_a_sentence(typed, sentence):
    with translation.override("en"), pytest.raises(forms.ValidationError) as refused:
        FIELD.clean(typed)

    assert sentence in " ".join(refused.value.messages)
