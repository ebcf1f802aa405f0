"""The sentences of the house, as the catalogue and the fixtures hold them."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import polib
from django.conf import settings as house_settings

LOCALE = house_settings.LOCALE_PATHS[0]
HOUSE = Path(house_settings.BASE_DIR)
CATALOGUE = LOCALE / "fr" / "LC_MESSAGES" / "django.po"


def entries() -> list[polib.POEntry]:
    return [entry for entry in polib.pofile(str(CATALOGUE)) if not entry.obsolete]


def pairs(entry: polib.POEntry) -> list[tuple[str, str]]:
    """Each source sentence of the entry beside its translation."""
    if not entry.msgid_plural:
        return [(entry.msgid, entry.msgstr)]
    sources = (entry.msgid, entry.msgid_plural)
    return [(sources[form], text) for form, text in sorted(entry.msgstr_plural.items())]


def of_catalogue(language: str) -> Iterator[str]:
    """Every sentence of the sources, or its translation."""
    for entry in entries():
        for source, text in pairs(entry):
            yield text if language == "fr" else source


def of_fixtures(language: str) -> Iterator[str]:
    """Every text of the fixtures in that language; the demo’s are what people typed."""
    for path in sorted((HOUSE / "fixtures").rglob("*.json")):
        if path.parent.name not in ("demo", "releases"):
            yield from spoken_in(json.loads(path.read_text(encoding="utf-8")), language)


def spoken_in(value: Any, language: str) -> Iterator[str]:
    if isinstance(value, dict) and {"en", "fr"} <= set(value):
        words = value[language]
        yield from words if isinstance(words, list) else [words]
    elif isinstance(value, dict | list):
        for child in value.values() if isinstance(value, dict) else value:
            yield from spoken_in(child, language)
