"""A code without words cannot exist: gauges are walked by themselves, a new one with the others.

What a gauge may answer in codes is read where mypy holds it to it, in each ``Literal`` of the
gauges' sources, and in what they answer to a plausible sheet. Each such word must be said by some
table of the readings room, or stand below among the few that nobody is told, with the reason.
"""

from __future__ import annotations

import ast
import importlib
import pkgutil
import re
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from django.utils import translation
from django.utils.functional import Promise

import repairs.readings
from repairs.gauges.everything import gauges
from repairs.readings.actions import measured
from repairs.readings.field_words import field_words
from repairs.readings.models import Verdict
from repairs.readings.parse import parse
from repairs.readings.sheets.base import Advice
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.words import ADVICE, FORMER, REASONS, advice_words
from tests.beside import ROOT
from tests.readings import samples
from tests.readings.words import assert_is_said

LANGUAGES = ("en", "fr")
CODE = re.compile(r"[a-z]+(_[a-z0-9]+)*")
# Words of the gauges' own, in no answer that a screen shows.
UNSAID: Mapping[str, str] = {
    "history": "basis of a climate's target: its sentence is chosen by it",
    "history_and_wood": "the same",
    "wood": "the same",
    "short_history": "the same",
    "low": "which edge of the air a target was moved at: said by its figures",
    "high": "the same",
    "linear": "which equation of movement answered",
    "shrinkage": "the same",
    "longitudinal": "a direction of the grain that no sheet offers",
    "no_drying": "risk of a gauge that is asked by the command alone",
    "free": "the same",
    "unlikely": "the same",
    "becoming_probable": "the same",
    "probable": "the same",
    "as_stands": "which figures of the strings the moves are counted from: chosen by it",
    "right": "the same",
    "across_the_crack": "grain of the cleats: its sentence is the only one",
    "under_13_months": "note of a short record: its sentence stands in the advice",
    "may_choke": "word of a note: said by the key from which on it holds",
    "may_not_start": "the same",
    "does_not_start": "the same",
    "where_whole": "basis of a target after harm: its sentence is chosen by it",
    "cautious": "the same",
    "": "no temperament is named, or none by name",
    "open_string": "which reading the temperament was counted from: the advice asks for it",
    "shape": "how the press of a finger was found: its figure has a label of its own",
    "plane": "how the seat of the dial's bridge was taken off: said as a warning where it was not",
    "by_string": "what of a wheel is used up first: the sentence is chosen by it",
    "by_band": "the same",
    "by_nothing_known": "the same",
    "semitones": "a unit that the label says",
    "rpm": "a unit that the sheet writes as 1/min",
}


def literals() -> Iterator[tuple[str, str]]:
    """Every word that a ``Literal`` of a gauge's source may be, with the file that it stands in.

    What the search for causes says is tested in tests/causes.
    """
    sources = (ROOT / "repairs" / "gauges").rglob("*.py")
    for path in sorted(one for one in sources if one.parent.name != "causes"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Subscript) and getattr(node.value, "id", "") == "Literal":
                inner = node.slice
                parts = inner.elts if isinstance(inner, ast.Tuple) else [inner]
                for part in parts:
                    if isinstance(part, ast.Constant) and isinstance(part.value, str):
                        yield str(path.relative_to(ROOT)), part.value


def tables() -> Iterator[Mapping[Any, Any]]:
    """Every table of the readings room that has words for codes, and every cell's choices."""
    for found in pkgutil.walk_packages(repairs.readings.__path__, "repairs.readings."):
        if "demo" in found.name:
            continue
        for value in vars(importlib.import_module(found.name)).values():
            if isinstance(value, Mapping) and any(isinstance(w, Promise) for w in value.values()):
                yield value
    yield {str(key): label for key, label in Verdict.Word.choices}
    for sheet in SHEETS.values():
        for cell in (*sheet.cells, *sheet.columns):
            yield dict(cell.choices)


def said() -> set[str]:
    """Every code that has words, by itself or as a piece of a prescription's code."""
    words = {str(key) for table in tables() for key in table}
    return words | {piece for code in ADVICE for piece in code.split(".")} | pieces()


def pieces() -> set[str]:
    """Codes that are parts of a longer one: “repin” of “repin_up”, “turn” of “away_to_head”."""
    verbs = {code.split(".")[1] for code in ADVICE if code.startswith("action.")}
    found = {verb.partition("_")[0] for verb in verbs}
    return found | ({"turn", "ease"} if {"nearer", "away"} <= verbs else set())


def test_every_word_that_a_gauge_may_answer_has_words_of_a_reader():
    known = said()
    missing = [(file, word) for file, word in literals() if word not in known | set(UNSAID)]

    assert missing == []


def test_the_sources_of_the_gauges_are_read():
    assert len(set(literals())) > 120
    assert len(said()) > 250


@pytest.mark.parametrize("gauge", sorted(SHEETS))
def test_every_code_in_the_answer_to_a_plausible_sheet_has_words(gauge):
    computed = measured(SHEETS[gauge], parse(SHEETS[gauge], samples.raw(gauge)))
    typed = set(strings_of(computed.given))

    answered = {text for text in strings_of(computed.output) if CODE.fullmatch(text)} - typed

    named = {text for text in answered if field_words(text) != text}  # inputs, by their own words
    assert answered - named - said() - set(UNSAID) == set()


def strings_of(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for one in value.values():
            yield from strings_of(one)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from strings_of(one)


def test_every_sheet_has_a_plausible_set_of_values_to_be_walked_with():
    assert set(samples.SAMPLES) == set(SHEETS)


def codes_of_sheets() -> Iterator[tuple[str, str]]:
    """The codes that the sheets' sources write, each with its file; what is filled in is “*”."""
    for path in sorted((ROOT / "repairs" / "readings" / "sheets").glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Advice":
                for code in written(node.args[0]) if node.args else ():
                    yield path.name, code


def written(node: ast.expr) -> Iterator[str]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.JoinedStr):
        yield "".join(str(p.value) if isinstance(p, ast.Constant) else "*" for p in node.values)
    elif isinstance(node, ast.IfExp):
        yield from written(node.body)
        yield from written(node.orelse)


def test_every_code_that_a_sheet_writes_has_words():
    found = list(codes_of_sheets())

    assert len(found) > 15
    for file, code in found:
        shape = re.compile(re.escape(code).replace(r"\*", ".+"))
        assert any(shape.fullmatch(known) for known in ADVICE), (file, code)


FILLED = re.compile(r"%\((\w+)\)s")


def filled(code: str, words: str) -> Iterator[Advice]:
    """A line of that code with every open place filled, once for each reason that it may have."""
    names = set(FILLED.findall(words))
    details: dict[str, Any] = dict.fromkeys(names, 0.3)
    target = "first, 7" if code.startswith("keys.") else "7"
    for reason in REASONS if names & {"why", "code"} else ("",):
        own = details | {"why": reason, "code": reason}
        yield Advice(code, target, 0.3, 0.1, "mm", details=own)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("code", sorted({**ADVICE, **FORMER}))
def test_every_advice_for_every_reason_is_a_sentence(code, language):
    with translation.override(language):
        words = str({**ADVICE, **FORMER}[code])
        for line in filled(code, words):
            shown = advice_words(line)
            assert_is_said(shown, line)
            assert shown[0] == shown[0].upper() or shown[0].isdigit()
            assert shown.rstrip()[-1] in ".:)»"


@pytest.mark.parametrize("gauge", sorted(gauges()))
def test_a_gauge_names_no_version_that_its_reader_would_take_for_a_code(gauge):
    """Papers carry “name number” as data; a person is told “version number of the gauge”."""
    assert re.fullmatch(r"[a-z_]+ [1-9]\d*", gauges()[gauge].version)
