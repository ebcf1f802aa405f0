"""The log's verbs in words that a person reads, gathered from the rooms whose verbs they are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import ModuleType
from typing import Any

from repairs.audit.words import DetailWords, Text
from repairs.books import log_words as books
from repairs.cases import log_words as cases
from repairs.causes import log_words as causes
from repairs.estimates import log_words as estimates
from repairs.findings import log_words as findings
from repairs.instruments import log_words as instruments
from repairs.invoices import log_words as invoices
from repairs.keep import log_words as keep
from repairs.payments import log_words as payments
from repairs.people import log_words as people
from repairs.photos import log_words as photos
from repairs.press import log_words as press
from repairs.procedures import log_words as procedures
from repairs.readings import log_words as readings
from repairs.treatment import log_words as treatment
from repairs.wood import log_words as wood

ROOMS: tuple[ModuleType, ...] = (
    people,
    press,
    instruments,
    cases,
    wood,
    photos,
    findings,
    readings,
    causes,
    procedures,
    treatment,
    estimates,
    invoices,
    payments,
    books,
    keep,
)


def _gathered() -> Iterator[tuple[str, tuple[Text, DetailWords]]]:
    for room in ROOMS:
        details: DetailWords = getattr(room, "DETAILS", {})
        for verb, words in room.WORDS.items():
            yield verb, (words, details)


DEEDS: Mapping[str, tuple[Text, DetailWords]] = dict(_gathered())


def deed_words(verb: str, details: Mapping[str, Any]) -> str:
    """Say a line of the log in words; a verb without words is shown as it is."""
    if verb not in DEEDS:
        return verb
    words, meanings = DEEDS[verb]
    said = _Details(details)
    for name, (label, meaning) in meanings.items():
        if name in details and (meant := meaning(details[name])):
            said[label] = meant
    return str(words) % said


class _Details(dict[str, Any]):
    """A line written by an earlier version may lack a detail; it is then left open."""

    def __missing__(self, key: str) -> str:
        return "…"
