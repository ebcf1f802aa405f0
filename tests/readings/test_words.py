"""No code of a gauge reaches a reader: each advice, subject, figure and refusal has its words.

The codes are taken from where the gauges take them: the types that mypy holds them to, the table of
changes that a prescription is checked against, and the gauges' sources for what they refuse.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from typing import Any, get_args

import pytest
from django.utils import translation

from repairs.gauges.action.changes import CHANGES
from repairs.gauges.action.plan import Kind
from repairs.gauges.cards import hints
from repairs.gauges.everything import gauges
from repairs.gauges.keys import conflicts, correction
from repairs.gauges.keys.gauge import FirstStep
from repairs.gauges.wheel import advice as wheel_advice
from repairs.gauges.wheel import decision
from repairs.gauges.wheel.result import Warn
from repairs.gauges.wood import cleats, joints, timber
from repairs.readings.sheets.action_cells import KINDS
from repairs.readings.sheets.base import Advice, Cell, Sheet
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.sheets.keyboard_cells import STRINGS
from repairs.readings.sheets.wheel_cells import WARNINGS
from repairs.readings.sheets.wood import NOTES
from repairs.readings.show import figure_label
from repairs.readings.sources import SOURCES, source_words
from repairs.readings.words import ADVICE, advice_words, version_words
from tests.readings.words import assert_is_said

LANGUAGES = ("en", "fr")
# Whose second word is a published work, the same in every language.
PUBLISHED = ("Michalski 1993",)


def changes() -> Iterator[Advice]:
    """Every change of the keybox, for every reason, with and without a known turn."""
    numbers: dict[str, Any] = {"amount": 0.3, "u": 0.05, "unit": "mm"}
    for (verb, what), kind in itertools.product(sorted(CHANGES), get_args(Kind)):
        details = {"why": kind, "turn": 4.0, "string": 1}
        yield Advice(f"action.{verb}.{what}", "12", **numbers, details=details)
        if (verb, what) == ("turn", "tangent"):
            yield Advice("action.turn_some.tangent", "12", **numbers, details=details)
    for kind in get_args(Kind):
        yield Advice("action.first_fail", "5", details={"why": kind})
        yield Advice("action.open_fails", details={"why": kind})
    yield Advice("action.all", "23")
    for edge in ("nut_side", "bridge_side"):
        yield Advice(f"action.ease.wheel_edge.{edge}", **numbers, details={"why": "wheel_edge"})


def of_the_wheel() -> Iterator[Advice]:
    for word in get_args(decision.Action):
        yield Advice(f"wheel.{word}")
    for word in get_args(wheel_advice.Need):
        yield Advice(f"wheel.need.{word}")
    for word in get_args(wheel_advice.Step):
        yield Advice(f"wheel.step.{word}")
    yield from map(Advice, ("wheel.form_in_doubt", "wheel.consent"))
    yield Advice("wheel.shift", amount=0.1, u=0.01, unit="mm", details={"tap": 60, "shim": 240})
    yield Advice("wheel.cut", amount=0.1, u=0.01, details={"left": 169.8, "lift": 0.1})


def of_the_keys() -> Iterator[Advice]:
    details = {"turn": 3.0, "lateral": 0.1, "cents": 4.0}
    for word, string in itertools.product(get_args(correction.Action), STRINGS):
        if word != "leave":
            yield Advice(f"keys.{word}", f"{string}, 7", 0.5, 0.1, "mm", details=details)
    for word, string in itertools.product(get_args(FirstStep), STRINGS):
        yield Advice(f"keys.{word}", string, 0.5, 0.1, "mm")
    for word in get_args(conflicts.Code):
        yield Advice("keys.conflict", "7", details={"code": word})


def of_wood_and_air() -> Iterator[Advice]:
    for word in get_args(joints.Deed):
        yield Advice(f"crack.{word}")
    yield from map(Advice, ("crack.order", "cleats.grain", "climate.too_short"))
    yield from map(Advice, ("climate.short_record",))
    yield Advice("cleats.places", "5, 50, 95")
    yield Advice("climate.target", details={"low": "42", "high": "58"})


def of_the_cards() -> Iterator[Advice]:
    for word in get_args(hints.Code):
        yield Advice(f"hint.{word}")
    for word in get_args(hints.Deed):
        yield Advice(f"try.{word}")


def every_advice() -> list[Advice]:
    kinds = (changes(), of_the_wheel(), of_the_keys(), of_wood_and_air(), of_the_cards())
    return [one for kind in kinds for one in kind]


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_advice_is_a_sentence_without_a_code(language):
    with translation.override(language):
        for line in every_advice():
            assert line.code in ADVICE, line.code
            assert_is_said(advice_words(line), line)


def test_no_words_are_kept_for_a_code_that_nothing_proposes():
    assert set(ADVICE) == {line.code for line in every_advice()}


@pytest.mark.parametrize("language", LANGUAGES)
def test_french_is_not_english(language):
    """A sentence that was never translated is the same in both languages."""
    said = {}
    for code in LANGUAGES:
        with translation.override(code):
            said[code] = [advice_words(line) for line in every_advice()]

    same = [en for en, fr in zip(said["en"], said["fr"], strict=True) if en == fr]
    assert same == []


def test_the_codes_of_a_gauge_are_its_types():
    """What is walked above is all there is: warnings, notes and reasons too."""
    assert set(get_args(Kind)) == set(KINDS)
    assert set(get_args(Warn)) == set(WARNINGS)
    notes = get_args(timber.TapNote) + get_args(joints.JointNote) + get_args(cleats.CleatNote)
    assert set(notes) == set(NOTES)


@pytest.mark.parametrize("language", LANGUAGES)
def test_warnings_notes_and_reasons_are_said(language):
    with translation.override(language):
        for table in (KINDS, WARNINGS, NOTES):
            for key, words in table.items():
                assert_is_said(str(words), key)


def test_a_change_without_a_place_in_the_table_cannot_be_proposed():
    made = next(iter(CHANGES))

    from_table = {verb for verb, _what in CHANGES}
    assert made in CHANGES
    assert from_table <= {"raise", "lower", "turn", "ease", "repin", "bush"}


def cells_of(sheet: Sheet) -> tuple[Cell, ...]:
    return (*sheet.cells, *sheet.columns)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("gauge", SHEETS)
def test_every_label_choice_and_limit_of_a_sheet_is_said(gauge, language):
    sheet = SHEETS[gauge]

    with translation.override(language):
        assert_is_said(str(sheet.label))
        assert_is_said(str(sheet.says))
        for cell in cells_of(sheet):
            assert_is_said(str(cell.label), cell.key)
            assert str(cell.label) != cell.key or " " not in cell.key
            for key, label in cell.choices:
                assert_is_said(str(label), (cell.key, key))
        for key, (label, limit) in sheet.limits.items():
            assert_is_said(str(label), key)
            assert_is_said(figure_label(sheet, f"{key}:1.5"), key)
            assert limit.source in SOURCES or limit.source in PUBLISHED, limit.source
            assert_is_said(source_words(limit.source), key)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_figure_that_no_sheet_has_any_more_is_said_to_be_of_an_earlier_version(language):
    with translation.override(language):
        words = figure_label(SHEETS["wheel"], "swelling_old_pct")

    assert_is_said(words)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("gauge", sorted(gauges()))
def test_the_version_of_a_gauge_is_said_without_its_name(gauge, language):
    version = gauges()[gauge].version

    with translation.override(language):
        words = version_words(version)

    assert version not in words
    assert version.rpartition(" ")[2] in words
