"""Characters that no font at hand can draw are written out by name, never left as empty boxes.

PDF/UA forbids a missing glyph, and a reader is better served by “[violin]” than by a box. The
snapshot inside the PDF keeps the text as it was typed.
"""

from __future__ import annotations

import dataclasses
import re
import shutil
import subprocess
import unicodedata
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from django.contrib.staticfiles import finders
from fontTools.ttLib import TTFont

FALLBACK_FAMILY = "DejaVu Sans"
# Joiners and variation selectors: they shape their neighbours and are nothing by themselves.
# What the house's fonts draw in any case, so that most papers need not open one to know it: French,
# English and their neighbours with the signs of measuring.
COMMON = re.compile(
    r"[\n\r\t -~\u00a0-\u00ac\u00ae-\u00ff\u0152\u0153\u0178–—‘’“”…−×€≤≥≈½¼¾²³→←↑↓]*"
)
INVISIBLE = {"\u200d", "\ufe0e", "\ufe0f", "\u20e3"}


def font_file(name: str) -> Path:
    """Return the file of one of the house's fonts. Raises ValueError for an unknown name."""
    found = finders.find(f"repairs/letters/{name}") if Path(name).name == name else None
    if isinstance(found, str) and name.endswith(".ttf"):
        return Path(found)
    raise ValueError(f"no font is called {name!r}")


# The fonts are opened and read once a process.
@cache
def drawable() -> frozenset[int]:
    """Code points that the papers' own fonts or the system's fallback can draw."""
    own = _points_of(font_file("atelier-text-400.ttf"))
    more = _points_of(font_file("atelier-text-400-more.ttf"))
    fallback = _fallback_file()
    return frozenset(own | more | (_points_of(fallback) if fallback else set()))


def _points_of(path: Path) -> set[int]:
    with TTFont(path, lazy=True) as font:
        return set(font.getBestCmap())


def _fallback_file() -> Path | None:
    """The system's DejaVu Sans, which the page maker's own system package brings on Debian."""
    finder = shutil.which("fc-match")
    if finder is None:
        return None
    wanted = [finder, "--format=%{family}\n%{file}", FALLBACK_FAMILY]
    answer = subprocess.run(wanted, capture_output=True, text=True, check=False)  # noqa: S603
    family, _, file = answer.stdout.partition("\n")
    return Path(file) if FALLBACK_FAMILY in family and file else None


def written_out(text: str) -> str:
    """Replace what cannot be drawn by its Unicode name in square brackets."""
    if COMMON.fullmatch(text):
        return text
    points = drawable()
    if all(ord(letter) in points or letter in "\n\r\t" for letter in text):
        return text
    return "".join(_drawn(letter, points) for letter in text)


def _drawn(letter: str, points: frozenset[int]) -> str:
    if letter in INVISIBLE or (unicodedata.category(letter) == "Cc" and letter not in "\n\r\t"):
        return ""
    if ord(letter) in points or unicodedata.category(letter) == "Cf" or letter in "\n\r\t":
        return letter
    name = unicodedata.name(letter, f"U+{ord(letter):04X}").lower()
    return f"[{name}]"


def printable(value: Any) -> Any:
    """Return the same data, deep, with every text fit to be drawn."""
    if isinstance(value, str):
        return written_out(value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = dataclasses.fields(value)
        changed = {field.name: printable(getattr(value, field.name)) for field in fields}
        return dataclasses.replace(value, **changed)
    if isinstance(value, tuple):
        return tuple(printable(item) for item in value)
    if isinstance(value, list):
        return [printable(item) for item in value]
    if isinstance(value, Mapping):
        return {key: printable(item) for key, item in value.items()}
    return value
