"""Beside each value that is typed stands the drawing of where it is measured, and how."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.where import drawings_for
from tests import factories
from tests.readings.pages import page_of

pytestmark = pytest.mark.django_db


def page_for(client, case, gauge: str) -> str:
    return page_of(client.get(reverse("readings:take", args=[case.number, gauge])))


@pytest.mark.parametrize("gauge", sorted(SHEETS))
def test_each_value_with_a_drawing_shows_it_closed(client, armand, case, gauge):
    client.force_login(armand)

    page = page_for(client, case, gauge)

    kind = case.instrument.pattern
    cells = [cell for cell in SHEETS[gauge].cells if drawings_for(kind, gauge, cell.key)]
    columns = {drawings_for(kind, gauge, column.key) for column in SHEETS[gauge].columns} - {()}
    shown = [cell for cell in cells if f'name="{cell.key}"' in page]
    assert page.count('<details class="where" name="where">') == len(shown) + len(columns)
    assert page.count('class="drawn"') >= len(shown) + len(columns)


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", ["Where to measure: diameter of the wheel", "Run-out: dial on the rim"]),
        ("fr", ["Où mesurer : diamètre de la roue", "Battement : comparateur sur le bandage"]),
    ],
)
def test_the_drawing_is_told_in_the_language_of_the_reader(client, armand, case, language, said):
    armand.language = language
    armand.save()
    client.force_login(armand)

    page = page_for(client, case, "wheel")

    for words in said:
        assert words in page


def test_a_left_handed_instrument_is_measured_on_mirrored_drawings(client, armand, case):
    client.force_login(armand)
    usual = page_for(client, case, "wheel")
    case.instrument.left_handed = True
    case.instrument.save()

    turned = page_for(client, case, "wheel")

    assert "scale(-1 1)" not in usual
    assert "scale(-1 1)" in turned
    assert re.sub(r"<svg.*?</svg>|value=\"[^\"]*\"", "", usual).count("figcaption") == (
        re.sub(r"<svg.*?</svg>|value=\"[^\"]*\"", "", turned).count("figcaption")
    )


def test_a_violin_is_shown_where_its_strings_are_measured(client, armand, owner, helene):
    violin = factories.instrument(owner, by=helene, kind="violin")
    client.force_login(armand)

    page = page_for(client, factories.case(violin, by=armand), "string_set")

    assert 'class="drawn"' in page
