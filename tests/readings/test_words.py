"""No code of a gauge reaches a reader: each advice, subject, figure and refusal has its words.

The codes are taken from where the gauges take them: the types that mypy holds them to, the table of
changes that a prescription is checked against, and the gauges' sources for what they refuse.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from typing import Any, get_args

import pytest
from django.utils import translation

from repairs.gauges.action.changes import CHANGES
from repairs.gauges.action.plan import Kind
from repairs.gauges.cards import hints
from repairs.gauges.everything import gauges
from repairs.gauges.keys import acts, conflicts, joint
from repairs.gauges.keys.asfound import FAMILY
from repairs.gauges.keys.gauge import FirstStep
from repairs.gauges.wheel import advice as wheel_advice
from repairs.gauges.wheel import decision
from repairs.gauges.wheel.result import Warn
from repairs.gauges.wood import cleats, joints, timber
from repairs.readings.sheets.action_advice import advice
from repairs.readings.sheets.action_cells import KINDS
from repairs.readings.sheets.base import Advice, Cell, Sheet
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.sheets.keyboard_cells import FAMILY_NAMES, NAMES, STRINGS
from repairs.readings.sheets.wheel_cells import WARNINGS
from repairs.readings.sheets.wood import NOTES
from repairs.readings.show import figure_label
from repairs.readings.sources import SOURCES, source_words
from repairs.readings.words import ADVICE, advice_words, version_words
from tests.readings.test_words_of_gauges import codes_of_sheets, filled
from tests.readings.words import assert_is_said

LANGUAGES = ("en", "fr")
# Whose second word is a published work, the same in every language.
PUBLISHED = ("Michalski 1993",)


def proposals() -> Iterator[dict[str, Any]]:
    """Every change of the keybox, for every reason, either way, with and without a known turn."""
    kinds, ways = get_args(Kind), itertools.product((0.3, -0.3), (None, 4.0, -4.0))
    edges = ("nut_side", "bridge_side")
    for (verb, what), kind, (gap, turn) in itertools.product(sorted(CHANGES), kinds, list(ways)):
        for place in edges if what == "wheel_edge" else (None,):
            yield {
                "verb": verb, "what": what, "key": 12, "string": 1, "place": place,
                "by_mm": 0.3, "u_mm": 0.05, "because": kind, "gap_change_mm": gap,
                "turn_deg": turn, "also_other_string": verb == "turn",
            }  # fmt: skip


def changes() -> Iterator[Advice]:
    out: dict[str, Any] = {"first_fail": None, "playable_up_to": 23}
    lines = advice({}, {**out, "prescriptions": list(proposals())})
    for kind, note in itertools.product(get_args(Kind), (0, 5)):
        fail = {"note": note, "kind": kind}
        lines += advice({}, {"first_fail": fail, "prescriptions": []})
    yield from {(line.code, str(line.details)): line for line in lines}.values()


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
    """Every act on a tangent, both ways, alone and with a bend; then what is told of a key."""
    for cents, bend, turn in itertools.product((4.0, -4.0, 0.0), (0.2, -0.2, 0.0), (3.0, -3.0)):
        details = {"turn": turn, "cents": cents, "bend": bend}
        verbs = [verb for verb in get_args(acts.Verb) if verb != "leave"]
        for word, string in itertools.product(verbs, STRINGS):
            way = -0.5 if cents > 0 else 0.5
            yield Advice(f"keys.{word}", f"{string}, 7", way, 0.1, "mm", details=details)
    yield from of_whole_keys()


def of_whole_keys() -> Iterator[Advice]:
    for word, string, way in itertools.product(get_args(FirstStep), STRINGS, (0.5, -0.5)):
        yield Advice(f"keys.{word}", string, way, 0.1, "mm")
        other = {"other": "second"}
        yield Advice(f"keys.{word}", "first", way, 0.1, "mm", details=other)
        yield Advice(f"keys.{word}", "first", way, 0.1, "mm", details=other | {"skew": 0.46})
    for word in get_args(joint.Serves):
        yield Advice(f"keys.{word}", "7", 0.5, None, "mm")
    for way in (0.4, -0.4):
        yield Advice("keys.shim", "7", way, None, "mm")
    for name in (*NAMES, *FAMILY_NAMES):
        yield Advice("keys.as_found", details={"name": name, "pct": 99, "moves": 12})
    for word in get_args(conflicts.Code):
        yield Advice("keys.conflict", "7", details={"code": word})


def test_both_ways_are_two_sentences_and_no_sign_is_read():
    """Towards the wheel and towards the nut, nearer and away: what a hand does, not a minus."""
    both: dict[tuple[str, str], list[str]] = {}
    for line in of_the_keys():
        if line.amount:
            said = advice_words(line)
            assert "-" not in re.sub(r"re-pin", "", said) and "−" not in said, said
            assert "(+" not in said and "0.000" not in said, said
            both.setdefault((line.code, str(abs(line.amount))), []).append(said)
    for code in ("turn", "move", "re_pin", "shim", "move_bridge", "move_nut"):
        ways = {said for (known, _), sentences in both.items() if known == f"keys.{code}"
                for said in sentences}  # fmt: skip
        assert any("towards the wheel" in said or "nearer" in said for said in ways), code
        assert any(
            word in said for said in ways for word in ("the nut", "further", "tailpiece", "head")
        ), code


@pytest.mark.parametrize("names", [FAMILY_NAMES])
def test_every_temperament_of_the_comma_family_has_a_name(names):
    assert set(names) == set(FAMILY)


def of_wood_and_air() -> Iterator[Advice]:
    for word in get_args(joints.Deed):
        yield Advice(f"crack.{word}")
    for word in ("sank", "rose", "crept_down", "crept_up", "side_treble", "side_bass"):
        yield Advice(f"plate.{word}", "8", details={"far": "0.40", "doubt": "0.03"})
    yield from map(Advice, ("plate.heights", "plate.still", "plate.no_edges"))
    for word in ("grows", "shrinks", "not_sure"):
        yield Advice(f"movement.{word}", details={"far": "0.72", "doubt": "0.15"})
    yield Advice("movement.wait", details={"least": "2", "most": "14"})
    yield Advice("clamp.spread", details={"count": 5})
    yield from map(Advice, ("clamp.contact", "clamp.bead"))
    yield Advice("crack.wait", details={"least": "2", "most": "14"})
    yield from map(Advice, ("crack.order", "cleats.grain", "climate.too_short"))
    yield from map(Advice, ("climate.short_record", "climate.harm_unknown"))
    yield Advice("climate.harm", details={"rest": "48"})
    yield Advice("climate.holes", details={"covered": "120", "days": "400", "hole": "280"})
    yield Advice("cleats.places", "5, 50, 95")
    for word in ("target", "owner"):
        yield Advice(f"climate.{word}", details={"low": "42", "high": "58"})
    ends = {"winter_low": "40", "winter_high": "50", "summer_low": "45", "summer_high": "60"}
    yield Advice("climate.halves", details=ends)


def of_the_cards() -> Iterator[Advice]:
    for word in get_args(hints.Code):
        yield Advice(f"hint.{word}")
    for word in get_args(hints.Deed):
        yield Advice(f"try.{word}")
    yield Advice("card.consent")


def of_the_strings() -> Iterator[Advice]:
    for file, code in codes_of_sheets():
        if file in ("strings.py", "bowing.py", "force.py"):
            yield from filled(code, str(ADVICE[code]))


def every_advice() -> list[Advice]:
    kinds = (of_the_wheel(), of_the_keys(), of_wood_and_air(), of_the_cards(), of_the_strings())
    return [*changes(), *(one for kind in kinds for one in kind)]


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
    assert from_table <= {"raise", "lower", "turn", "bend", "ease", "repin", "bush", "thin"}


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
