"""A folded group of a form says what stands in it, and opens where something is to be done."""

from __future__ import annotations

import datetime as dt

import pytest
from django import forms
from django.utils import translation

from repairs.screens.entries import MOST_SAID, BoundGroup, Entry, Group, bound_groups
from repairs.screens.fields import millimetres


class Sheet(forms.Form):
    maker = forms.CharField(required=False)
    surety = forms.ChoiceField(
        choices=[("signed", "signed by hand"), ("unknown", "not known")], required=False
    )
    left_handed = forms.BooleanField(label="left-handed", required=False)
    dangers = forms.MultipleChoiceField(
        choices=[("lead", "lead paint"), ("mould", "mould")], required=False
    )
    length = millimetres("length")
    made_on = forms.DateField(required=False)
    place = forms.CharField()


OPTIONAL = ("maker", "surety", "left_handed", "dangers", "length", "made_on")


def group(*names: str, **said: object) -> BoundGroup:
    return bound_groups(Sheet(initial=said), (Group("", tuple(map(Entry, names))),))[0]


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ({"maker": "Étienne Roussillat"}, "Étienne Roussillat"),
        ({"surety": "signed"}, "signed by hand"),
        ({"left_handed": True, "maker": "Corbinay"}, "Corbinay · left-handed"),
        ({"dangers": ["lead", "mould"]}, "lead paint, mould"),
        ({"length": "402.5"}, "length 402.5 mm"),
        ({"made_on": dt.date(2026, 11, 24)}, "24 November 2026"),
        ({"maker": "two\nlines"}, "two lines"),
        ({}, "nothing said yet"),
        ({"left_handed": False, "dangers": []}, "nothing said yet"),
    ],
)
def test_its_line_says_in_words_what_is_filled_in(said, line):
    with translation.override("en"):
        assert group(*OPTIONAL, **said).said == line


def test_a_long_line_is_cut():
    said = group("maker", maker="a" * 500).said

    assert len(said) == MOST_SAID
    assert said.endswith("…")


def test_it_is_open_while_something_is_wanted_and_folded_once_it_is_there():
    assert not group("maker").is_open
    assert group("maker", "place").is_open
    assert not group("maker", "place", place="Valbrune").is_open


def test_it_is_open_where_something_is_to_be_mended():
    form = Sheet({"length": "long", "place": "Valbrune"})
    sizes, places = bound_groups(
        form, (Group("", (Entry("length"),)), Group("", (Entry("place"),)))
    )

    assert sizes.is_open
    assert not places.is_open
