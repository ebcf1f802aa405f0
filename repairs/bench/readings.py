"""Readings in the docket: each with the gravest of its verdicts, and the rounds of a new one."""

from __future__ import annotations

from dataclasses import dataclass

from repairs.cases.models import Case
from repairs.language.text import labelled
from repairs.readings.models import Reading, Verdict
from repairs.readings.setup.gathering import line_of
from repairs.readings.setup.orders import order_for
from repairs.readings.setup.shown import line_words
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.sheets.common import SIGNS
from repairs.readings.show import figure_rows

GRAVEST_FIRST = ("outside", "doubtful", "inside")


@dataclass(frozen=True)
class ReadingLine:
    """A reading in the docket: its gauge, and the gravest of its verdicts."""

    reading: Reading
    title: str
    word: str
    word_label: str
    sign: str


def reading_lines(case: Case) -> list[ReadingLine]:
    """The standing readings, each with its gravest verdict as one word."""
    rows = case.readings.present().defer("raw").prefetch_related("results__verdicts")
    lines = []
    for row in rows:
        row.case = case
        result = row.latest
        words = {verdict.word for verdict in result.verdicts.all()} if result else set()
        word = next((w for w in GRAVEST_FIRST if w in words), "not_judged")
        label = str(Verdict.Word(word).label)
        lines.append(ReadingLine(row, str(sheet_of(row.gauge).label), word, label, SIGNS[word]))
    return lines


@dataclass(frozen=True)
class Round:
    """A round of readings of a new instrument, and what still fails at its end."""

    number: int
    readings: int
    fails: list[str]


def rounds(case: Case) -> list[Round]:
    """The numbered rounds of a case of the house, each with its figures outside their limits."""
    found: dict[int, Round] = {}
    rows = case.readings.present().exclude(round=None).prefetch_related("results__verdicts")
    for row in rows:
        number = row.round or 0
        at = found.setdefault(number, Round(number, 0, []))
        fails = [
            labelled(sheet_of(row.gauge).label, figure.label)
            for figure in figure_rows(row)
            if figure.word == "outside"
        ]
        found[number] = Round(number, at.readings + 1, at.fails + fails)
    return [found[number] for number in sorted(found)]


def setup_facts(case: Case) -> dict[str, object]:
    """Whether the kind has an order of set-up, and the one that goes on in a line."""
    _setup, stands = line_of(case)
    return {
        "has_setup": order_for(case) is not None,
        "setup_line": line_words(stands) if stands else "",
    }
