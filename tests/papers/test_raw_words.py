"""No paper shows a code of the house: each thing is called as a luthier calls it.

A code is what stands in rows and files: ``action.ease``, ``not_examined``, ``None``, a list in
brackets. Addresses, hashes and names of files are no codes of ours.
"""

from __future__ import annotations

import html
import json
import re
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from repairs.language.text import LANGUAGES
from repairs.press import kinds
from repairs.press.document import Sheet
from repairs.press.render import to_html
from tests.papers import every

NO_CODE = re.compile(
    r"https?://\S+|\S+@\S+|\b[\w.-]+\.(?:json|xml|pdf|jpe?g|org)\b|\b[0-9a-f]{16,}\b|\b(?:e\.g|i\.e)\b"
)
CODES = (
    ("a code with a dot or an underscore", re.compile(r"\b[a-z]+[._][a-z_]+\b")),
    (
        "Python’s own word",
        re.compile(r"\b(?:None(?! was noted)|True|False|Decimal|datetime|nan|inf)\b"),
    ),
    ("something of Python", re.compile(r"\{'|\['|\('|<[\w.]+ object|\bdict_|%\(\w+\)")),
    ("a subject of one word and a number", re.compile(r"\b(?:returns|joints|tangents|wheel) \d")),
)


def shown(sheet: Sheet) -> str:
    """What a reader sees, or hears read out: the text, and the words for pictures."""
    page = re.sub(r"<(style|title|script)\b.*?</\1>", " ", to_html(sheet), flags=re.S)
    said = re.findall(r'\b(?:alt|title|aria-label)="([^"]*)"', page)
    text = html.unescape(" ".join([re.sub(r"<[^>]+>", " ", page), *said]))
    return NO_CODE.sub(" ", text)


def codes_in(text: str) -> list[str]:
    found = {f"{what}: {one}" for what, code in CODES for one in code.findall(text)}
    return sorted(found | {f"a key: {word}" for word in re.findall(r"\w+", text) if word in KEYS})


def keys_of_vocabulary(data: Any) -> set[str]:
    """Every key of two words or more in the vocabularies, as it stands in a row."""
    if isinstance(data, dict):
        inner = [keys_of_vocabulary(one) for one in data.values()]
        own = {word for name in ("key", "slug") if isinstance(word := data.get(name), str)}
        return {*own, *data, *(key for keys in inner for key in keys)}
    if isinstance(data, list):
        return {key for one in data for key in keys_of_vocabulary(one)}
    return set()


def vocabulary() -> set[str]:
    files = (Path(settings.BASE_DIR) / "fixtures" / "vocabulary").glob("*.json")
    every_key = {
        key for file in files for key in keys_of_vocabulary(json.loads(file.read_text("utf-8")))
    }
    return {key for key in every_key if "_" in key}


KEYS = vocabulary()


@pytest.fixture
def sheets(case, work, finding, payer, armand, helene):
    def compiled(language: str) -> list[Sheet]:
        filled = every.filled(case, finding, by=armand)
        return [
            *every.of_the_case(filled, language),
            *every.of_the_payer(payer, language, by=helene),
        ]

    return compiled


def test_a_code_is_told_where_it_is_shown():
    assert codes_in(NO_CODE.sub(" ", "see https://example.org/a_b and paper.json")) == []
    assert codes_in("action.ease") and codes_in("not_examined") and codes_in("wheel 1")
    assert codes_in("None") and codes_in("['a']") and codes_in("%(day)s")
    assert codes_in("a museum_object") and len(KEYS) > 50


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_paper_of_a_case_or_of_money_shows_a_code(sheets, language):
    every_sheet = sheets(language)

    found = {sheet.kind: codes_in(shown(sheet)) for sheet in every_sheet}

    assert set(found) == set(kinds.registered()) - {"estimate", "consent_record"}
    assert {kind: codes for kind, codes in found.items() if codes} == {}


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_offer_and_no_consent_shows_a_code(house, case, finding, armand, helene, language):
    case.owner.language = language
    case.owner.save()

    found = {
        sheet.kind: codes_in(shown(sheet))
        for sheet in every.of_the_offer(case, language, by=helene)
    }

    assert found == {"estimate": [], "consent_record": []}
