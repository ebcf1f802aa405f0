"""The letters about money as they are printed: one page each, in both languages."""

from __future__ import annotations

import html
import re

import pytest

from repairs.press.render import render, to_html
from tests.papers import every

SAID = {
    "en": {
        "invoice": ("To be paid", "How to pay", "Done or delivered on"),
        "credit_note": ("Credited", "Corrects invoice"),
        "reminder": ("To be paid", "Was due on", "Left to pay"),
        "statement": ("Left to pay", "As of", "All movements", "days late"),
    },
    "fr": {
        "invoice": ("À payer", "Règlement", "Réalisé ou livré le"),
        "credit_note": ("Déduit par avoir", "Avoir sur la facture"),
        "reminder": ("À payer", "Échéance", "Reste à payer"),
        "statement": ("Reste à payer", "Tous les mouvements", "de retard"),
    },
}


def shown(page: str) -> str:
    text = re.sub(r"<(style|title)\b.*?</\1>|<[^>]+>", " ", page, flags=re.S)
    return " ".join(html.unescape(text).replace("\u00a0", " ").replace("\u202f", " ").split())


@pytest.mark.real_press
@pytest.mark.parametrize("language", ["en", "fr"])
def test_every_letter_about_money_is_one_page_and_says_what_it_must(shop, payer, helene, language):
    sheets = list(every.of_the_payer(payer, language, by=helene))

    pages = {sheet.kind: render(sheet)[1] for sheet in sheets}
    missing = {
        sheet.kind: [
            words for words in SAID[language][sheet.kind] if words not in shown(to_html(sheet))
        ]
        for sheet in sheets
    }

    assert pages == dict.fromkeys(SAID[language], 1)
    assert missing == {kind: [] for kind in SAID[language]}
