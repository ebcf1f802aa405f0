"""Stated beside computed, as a person reads it: as many digits as tell the two apart."""

from __future__ import annotations

from repairs.language.text import uses_comma
from repairs.papers.carried.recompute import Stated
from repairs.readings.models import Verdict

FEWEST_DIGITS, MOST_DIGITS = 4, 17
NUMBERS = ("value", "change", "expected", "got")


def values_words(values: Stated, others: Stated, unit: str) -> str:
    """“0.012 ± 0.007 mm, inside”, of ``values``, beside ``others`` that they are held against."""
    words = [_number(values, others, key, unit) for key in NUMBERS if key in values]
    verdict = values.get("verdict")
    if isinstance(verdict, str) and verdict in Verdict.Word.values:
        words.append(str(Verdict.Word(verdict).label))
    return ", ".join(words)


def _number(values: Stated, others: Stated, key: str, unit: str) -> str:
    u_key = "u" if key == "value" else f"{key}_u"
    words = _told_apart(values.get(key), others.get(key))
    if values.get(u_key) is not None:
        words = f"{words} ± {_told_apart(values.get(u_key), others.get(u_key))}"
    return f"{words}\u00a0{unit}" if unit and words != "—" else words


def _told_apart(value: object, other: object) -> str:
    if not isinstance(value, float):
        return "—"
    for digits in range(FEWEST_DIGITS, MOST_DIGITS):
        words = f"{value:.{digits}g}"
        if not isinstance(other, float) or value == other or words != f"{other:.{digits}g}":
            break
    return words.replace(".", ",") if uses_comma() else words
