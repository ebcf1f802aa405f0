"""Small words shared by all rooms: catalogues, languages, spaces, safe file names."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import polib
from django.utils.translation import get_language

LOCALE = Path(__file__).resolve().parent / "locale"
LANGUAGES = ("fr", "en")


def compile_catalogues(root: Path = LOCALE) -> list[Path]:
    """Write each .mo that is missing or older than its .po; a bare machine has no msgfmt."""
    written = []
    for po in sorted(root.glob("*/LC_MESSAGES/*.po")):
        mo = po.with_suffix(".mo")
        if mo.exists() and mo.stat().st_mtime >= po.stat().st_mtime:
            continue
        draft = mo.with_suffix(".mo.part")
        polib.pofile(str(po)).save_as_mofile(str(draft))
        draft.replace(mo)
        written.append(mo)
    return written


def language() -> str:
    """Return the two letters of the language in force, one that the house speaks."""
    code = (get_language() or "fr")[:2]
    return code if code in LANGUAGES else "fr"


def in_language(words: Mapping[str, str] | None, code: str | None = None) -> str:
    """Pick a label of the fixtures, ``{"en": …, "fr": …}``, in the wanted or present language."""
    if not words:
        return ""
    return words.get(code or language()) or words.get("en", "")


def folded(words: str) -> str:
    """Return the words without case, accents or repeated spaces, for finding duplicates."""
    plain = unicodedata.normalize("NFKD", words.casefold())
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    return re.sub(r"[\W_]+", " ", plain).strip()


def tidy_json(value: Any) -> Any:
    """Drop empty strings, None and empty lists from nested data, to keep snapshots readable."""
    if isinstance(value, dict):
        kept = {key: tidy_json(item) for key, item in value.items()}
        return {key: item for key, item in kept.items() if item not in ("", None, [], {})}
    if isinstance(value, list):
        return [tidy_json(item) for item in value]
    return value
