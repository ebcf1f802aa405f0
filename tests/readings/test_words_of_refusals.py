"""Every input, refusal and reason that the gauges' sources name has its words."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from typing import Any

import pytest
from django.utils import translation

from repairs.gauges.base.errors import SENTENCES, GaugeInputError
from repairs.gauges.everything import gauges
from repairs.readings.field_words import field_words
from repairs.readings.gauge_refusals import WHYS, refusal_words
from repairs.readings.sheets.catalogue import SHEETS
from tests.beside import ROOT
from tests.readings.words import assert_is_said

LANGUAGES = ("en", "fr")
GAUGES = ROOT / "repairs" / "gauges"
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


def trees() -> Iterator[ast.AST]:
    """The search for causes takes a file of its own, and names what it refuses as it stands there;
    what it says to readers is tested in tests/causes."""
    for path in sorted(GAUGES.rglob("*.py")):
        if path.parent.name != "causes":
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
            "du ronflement : ne cesse jamais ». Corrigez l’un des deux.",
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
