"""The card of the bench on paper: A5, and short enough to lie beside the instrument."""

from __future__ import annotations

import io

import pypdf
import pytest
from django.urls import reverse
from django.utils import translation

from repairs.readings.bench_card import cards_of
from tests.readings import samples

pytestmark = pytest.mark.browser

A5_PT = (419.5, 595.3)
SIX, MOST_SHEETS = 6, 2
# Six keys of twelve are off, three either way.
CENTS = dict.fromkeys(range(1, 13), "0") | {2: "8", 4: "8", 5: "-7", 8: "9", 9: "-8", 11: "-12"}


@pytest.mark.parametrize("language", ["en", "fr"])
def test_a_card_of_six_tangents_is_printed_on_at_most_two_sheets_of_a5(
    house, case, armand, open_window, language
):
    armand.language = language
    armand.save()
    words = samples.keys(CENTS, u_cents="0,2")
    reading = samples.reading(case, by=armand, gauge="correction", words=words)
    walk = open_window(armand, language=language)
    walk.page.goto(reverse("readings:card", args=[case.number, reading.number]))

    printed = walk.page.pdf(prefer_css_page_size=True, print_background=True)

    sheets = pypdf.PdfReader(io.BytesIO(printed)).pages
    assert len(sheets) <= MOST_SHEETS
    for sheet in sheets:
        assert (sheet.mediabox.width, sheet.mediabox.height) == pytest.approx(A5_PT, abs=1)
    text = " ".join(sheet.extract_text() for sheet in sheets)
    with translation.override(language):
        (card,) = cards_of(reading)
    assert len(card.lines) == SIX
    assert all(line.far.split("\u00a0")[0] in text for line in card.lines)
