"""No code of a gauge reaches a reader: each advice, subject, figure and refusal has its words.

The codes are taken from where the gauges take them: the types that mypy holds them to, the table of
changes that a prescription is checked against, and the gauges' sources for what they refuse.
"""

from __future__ import annotations

import ast
import itertools
import re
from collections.abc import Iterator
from typing import Any, get_args

import pytest
from django.utils import translation

from repairs.gauges.action.changes import CHANGES
from repairs.gauges.action.plan import Kind
from repairs.gauges.base.errors import SENTENCES, GaugeInputError
from repairs.gauges.cards import hints
from repairs.gauges.everything import gauges
from repairs.gauges.keys import conflicts, correction
from repairs.gauges.keys.gauge import FirstStep
from repairs.gauges.wheel import advice as wheel_advice
from repairs.gauges.wheel.result import Warn
from repairs.gauges.wood import cleats, joints, timber
from repairs.readings.field_words import field_words
from repairs.readings.gauge_refusals import WHYS, refusal_words
from repairs.readings.sheets.action_cells import KINDS
from repairs.readings.sheets.base import Advice, Cell, Sheet
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.sheets.keyboard_cells import STRINGS
from repairs.readings.sheets.wheel_cells import WARNINGS
from repairs.readings.sheets.wood import NOTES
from repairs.readings.show import figure_label
from repairs.readings.sources import SOURCES, source_words
from repairs.readings.words import ADVICE, advice_words, version_words
from tests.beside import ROOT

LANGUAGES = ("en", "fr")
CODE = re.compile(r"\w[_.][a-z]\w|%\(|\bu_")
VERSIONS = {gauge.version for gauge in gauges().values()}
GAUGES = ROOT / "repairs" / "gauges"
# Whose second word is a published work, the same in every language.
PUBLISHED = ("Michalski 1993",)
# Arguments that name an input, by their place, of the helpers that read one.
FIELD_AT = {
    "needed": 1,
    "optional": 1,
    "maybe": 1,
    "between": 0,
    "positive": 0,
    "number": 0,
    "numbers": 0,
    "choice": 0,
    "rows": 0,
    "quantity": 0,
    "uncertainty": 0,
    "material": 0,
    "each": 1,
    "one_each": 1,
    "_listed": 0,
    "_present": 0,
    "_list": 1,
}


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
    for word in get_args(wheel_advice.Action):
        yield Advice(f"wheel.{word}")
    for word in get_args(wheel_advice.Need):
        yield Advice(f"wheel.need.{word}")
    for word in get_args(wheel_advice.Step):
        yield Advice(f"wheel.step.{word}")
    yield from map(Advice, ("wheel.form_inside", "wheel.form_outside", "wheel.consent"))
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


def assert_is_said(words: str, what: Any = "") -> None:
    assert words, what
    assert not VERSIONS & {words}, words
    assert not CODE.search(words), (what, words)


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


def trees() -> Iterator[ast.AST]:
    for path in sorted(GAUGES.rglob("*.py")):
        yield ast.parse(path.read_text("utf-8"))


def calls() -> Iterator[tuple[str, ast.Call]]:
    for tree in trees():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                name = getattr(node.func, "id", getattr(node.func, "attr", ""))
                yield name, node


def texts(node: ast.expr, place: str = "3.5") -> Iterator[str]:
    """A text as it stands; in a formatted one each open place is filled."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    if isinstance(node, ast.JoinedStr):
        parts = [p.value if isinstance(p, ast.Constant) else _filled(p, place) for p in node.values]
        yield "".join(str(part) for part in parts)


def _filled(part: ast.expr, place: str) -> str:
    """The scale's file has its name in a constant; other places are filled as the caller says."""
    named = getattr(getattr(part, "value", None), "id", "")
    return {"FIELD": "scl", "unit": "mpa"}.get(named, place)


def fields() -> set[str]:
    """Every name under which a gauge refuses an input."""
    found = {name for gauge in SHEETS for name in gauges()[gauge].inputs}
    for name, call in calls():
        at = FIELD_AT.get(name)
        given = [call.args[at]] if at is not None and len(call.args) > at else []
        given += [k.value for k in call.keywords if k.arg in ("field", "other")]
        found |= {text for node in given for text in texts(node, "length_mm")}
    return found


def refusals() -> list[tuple[str, dict[str, str]]]:
    """Every refusal of the sources: its code and the texts that fill it."""
    rows = []
    for name, call in calls():
        if name == "GaugeInputError":
            said = {
                k.arg: next(texts(k.value, "length_mm" if k.arg == "field" else "3.5"), "")
                for k in call.keywords
                if k.arg
            }
            codes = list(texts(call.args[0])) or ["too_small", "too_big"]
            rows += [(code, said) for code in codes]
    return rows


def test_the_sources_are_read():
    assert len(fields()) > 130
    assert len(refusals()) > 70
    assert {code for code, _said in refusals()} == set(SENTENCES)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_input_that_a_gauge_can_refuse_has_its_words(language):
    with translation.override(language):
        for field in sorted(fields()):
            words = field_words(field)
            assert_is_said(words, field)
            assert words != field or field.isalpha(), field


def test_a_heading_of_the_readers_own_file_stays_as_it_is():
    assert field_words("Humidité (%HR)") == "Humidité (%HR)"


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("gauge", SHEETS)
def test_every_refusal_of_the_sources_is_said_on_every_sheet(gauge, language):
    numbers = {"value": "3.5", "limit": "2.5", "known": "true, false", "row": 2}
    with translation.override(language):
        for code, said in refusals():
            details: dict[str, Any] = {**numbers, "t_c": "20", "most": "30", "wood": "boxwood"}
            details |= {key: text for key, text in said.items() if text}
            field = details.pop("field", "length_mm")
            row = details.pop("row")
            row = row if isinstance(row, int) else None
            words = refusal_words(
                SHEETS[gauge], GaugeInputError(code, field=field, row=row, **details)
            )
            assert_is_said(words, (code, said))


def test_every_reason_why_there_is_no_answer_has_its_words():
    whys = {said["why"] for _code, said in refusals() if said.get("why")}

    assert whys == set(WHYS)


@pytest.mark.parametrize(
    ("language", "sentence"),
    [
        (
            "en",
            "“Tirant, turns from silence to onset: 0.5” cannot go together with “Onset of the "
            "buzz: buzzes always”. Correct one of the two.",
        ),
        (
            "fr",
            "« Tirant, tours du silence au départ du ronflement : 0,5 » ne va pas avec « Départ "
            "du ronflement : ne cesse jamais ». Corriger l’un des deux.",
        ),
    ],
)
def test_a_card_that_contradicts_itself_is_refused_in_its_own_words(language, sentence):
    with pytest.raises(GaugeInputError) as refused:
        gauges()["dog_card"].run({"string": "Trompette", "onset": "always", "tirant_turns": 0.5})

    with translation.override(language):
        said = refusal_words(SHEETS["dog_card"], refused.value)

    assert said.replace("\u00a0", " ").replace("\u202f", " ") == sentence


def test_a_wood_without_figures_is_refused_by_its_name():
    given = {
        "gap_mm": 0.3,
        "width_mm": 180,
        "species": "boxwood",
        "direction": "radial",
        "t_c": 20,
        "from_rh_pct": 38,
        "to_rh_pct": 52,
    }
    with pytest.raises(GaugeInputError) as refused:
        gauges()["crack_joint"].run(given)

    with translation.override("fr"):
        said = refusal_words(SHEETS["crack_joint"], refused.value)

    assert "buis" in said
    assert "boxwood" not in said


def test_the_command_says_a_refusal_with_every_place_filled():
    for code, said in refusals():
        details: dict[str, Any] = {k: t for k, t in said.items() if t and k not in ("field", "row")}
        field = said.get("field") or "length_mm"
        sentence = GaugeInputError(
            code, field=field, **({"t_c": "20", "most": "9", "wood": "box"} | details)
        ).sentence()
        assert "%" not in sentence.replace("settles at 3.5 %", ""), sentence
