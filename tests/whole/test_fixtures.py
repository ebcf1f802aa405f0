"""The fixtures keep their promises: two languages, unique keys, known materials, dated sources."""

import datetime as dt
import json
import re
from typing import Any

import pytest

from repairs.language.text import LANGUAGES
from tests.whole.fixture_files import (
    OUR_FILES,
    VOCABULARY_FILES,
    load,
    repeated,
    texts,
    walk,
    words,
)

MATERIAL_GROUPS = set(
    words("wood metal skin ivory_bone shell textile string paper synthetic coating other")
)
TERMS_OF_THE_TRADE = {
    "wood": "crack check split shake open_joint delamination wood_loss dent bruise warp cupping "
    "sag distortion wood_wear worm rot stain shrinkage_gap",
    "coating": "craquelure crazing flaking blister blanching bloom abrasion scratch coating_loss "
    "discolouration accretion overpaint sticky",
    "metal": "tarnish corrosion_red corrosion_green pitting verdigris bend metal_loose fatigue "
    "metal_wear",
    "strings": "fray false_string brittle",
    "inlay": "inlay_loss inlay_lifting inlay_crack yellowing",
    "leather_textile": "red_rot tear",
    "playing": "not_true rubs sticks false_note dead_spot peg_slips buzz loose missing_part "
    "old_repair alteration",
}
SCALE_KEYS = {
    "severity": "1 2 3 4",
    "stability": "stable active unknown",
    "urgency": "1 2 3 4",
    "originality": "original old_replacement later_replacement unknown",
    "maker_certainty": "signed attributed workshop_of unknown",
    "overall_grade": "1 2 3 4",
    "hazards": "pests pesticide arsenic lead asbestos mould sharps sensitising_dust other",
    "extent_units": "mm cm cm2 percent count degrees",
    "causes": "climate use_wear impact pests earlier_repair ageing construction unknown",
}


def terms() -> list[dict]:
    return [term for group in load("vocabulary/damage.json")["groups"] for term in group["terms"]]


WORDED = [path for path in OUR_FILES if path.stem != "usual_damage"]  # that one holds keys only


@pytest.fixture(params=WORDED, ids=lambda path: path.stem)
def content(request: pytest.FixtureRequest) -> Any:
    return json.loads(request.param.read_text(encoding="utf-8"))


# Every file


def test_all_vocabularies_are_there() -> None:
    assert {path.stem for path in VOCABULARY_FILES} >= {
        "damage", "scales", "materials", "reasons", "checklist", "cautions", "as_found",
        "protection_needs", "families",
    }  # fmt: skip


def test_a_vocabulary_of_keys_alone_has_no_words() -> None:
    assert texts(load("vocabulary/usual_damage.json")) == []


def test_every_text_speaks_both_languages(content: Any) -> None:
    found = texts(content)

    assert found
    for text in found:
        assert {"en", "fr"} <= set(text) <= set(LANGUAGES)
        assert text["en"].strip() and text["fr"].strip()
        assert text["en"] == text["en"].strip() and text["fr"] == text["fr"].strip()


def test_texts_use_curly_apostrophes(content: Any) -> None:
    for text in texts(content):
        assert "'" not in text["en"] + text["fr"]
        assert '"' not in text["en"] + text["fr"]


def test_french_puts_a_no_break_space_before_tall_marks(content: Any) -> None:
    for text in texts(content):
        assert not re.search(r"[^\u00a0][:»%]|[^\u202f][;?!]", text["fr"]), text["fr"]
        assert not re.search(r"«[^\u00a0\u202f]", text["fr"]), text["fr"]


def test_definitions_and_cautions_are_one_sentence(content: Any) -> None:
    for node in walk(content):
        for field in ("definition", "caution", "hint"):
            for sentence in node.get(field, {}).values():
                assert sentence[0].isupper() and sentence.endswith("."), sentence
                assert ". " not in sentence, sentence


# Vocabularies


def test_every_term_of_the_trade_has_its_place() -> None:
    groups = load("vocabulary/damage.json")["groups"]
    found = {group["key"]: {term["key"] for term in group["terms"]} for group in groups}

    assert set(found) == set(TERMS_OF_THE_TRADE)
    for group, wanted in TERMS_OF_THE_TRADE.items():
        assert set(words(wanted)) <= found[group], group


def test_terms_are_unique_measurable_and_apply_to_something() -> None:
    units = {unit["key"] for unit in load("vocabulary/scales.json")["extent_units"]}

    assert not repeated([term["key"] for term in terms()])
    for term in terms():
        assert term["extent_units"] and set(term["extent_units"]) <= units, term["key"]
        assert term["applies_to"] and set(term["applies_to"]) <= MATERIAL_GROUPS, term["key"]


@pytest.mark.parametrize("scale", SCALE_KEYS)
def test_a_scale_has_its_steps_with_definition_and_source(scale: str) -> None:
    steps = load("vocabulary/scales.json")[scale]

    assert [step["key"] for step in steps] == words(SCALE_KEYS[scale])
    for step in steps:
        assert step["definition"]
        assert step["source"].strip()


def test_every_hazard_defers_to_local_rules() -> None:
    for hazard in load("vocabulary/scales.json")["hazards"]:
        assert "local" in hazard["caution"]["en"]
        assert "locales" in hazard["caution"]["fr"]


def test_materials_are_unique_and_grouped() -> None:
    materials = load("vocabulary/materials.json")

    assert not repeated([entry["key"] for entry in materials])
    assert {entry["group"] for entry in materials} == MATERIAL_GROUPS


def test_protected_materials_are_dated_sourced_and_say_check_the_list() -> None:
    listed = [entry for entry in load("vocabulary/materials.json") if entry["protected"]]

    assert len(listed) >= 15
    for entry in listed:
        status = entry["protected"]
        assert dt.date.fromisoformat(status["as_of"]) >= dt.date(2025, 12, 15)
        assert status["list"]["en"].startswith("CITES App. ") and status["source"].strip()
        assert status["list"]["fr"].startswith("CITES, annexe\u00a0")
        assert re.findall(r"#\d+", status["list"]["en"]) == re.findall(
            r"#\d+", status["list"]["fr"]
        )
        assert isinstance(status["from_memory"], bool)
        assert "check the current list" in status["note"]["en"].casefold()
        assert "vérifier la liste en vigueur" in status["note"]["fr"].casefold()


@pytest.mark.parametrize(
    ("key", "listing", "from_memory"),
    [
        ("rosewood_brazilian", "App. I;", False),
        ("rosewood_indian", "App. II, annotation #15", False),
        ("pernambuco", "App. II, annotation #10", False),
        ("mahogany", "App. II, annotation #6", False),
        ("ivory_elephant", "App. I ", True),
        ("tortoiseshell", "App. I", True),
        ("whalebone", "App. I", True),
        ("cedar", "App. II, annotation #6", True),
    ],
)
def test_the_status_of_materials_that_matter_most(
    key: str, listing: str, from_memory: bool
) -> None:
    status = {entry["key"]: entry for entry in load("vocabulary/materials.json")}[key]["protected"]

    assert listing in status["list"]["en"]
    assert status["from_memory"] is from_memory


def test_the_reason_chooses_the_steps() -> None:
    steps = {reason["key"]: reason["steps"] for reason in load("vocabulary/reasons.json")}
    full = words("taken_in looked_over agreed on_bench proved handed_back")
    survey = words("taken_in looked_over reported handed_back")

    assert steps == {
        "repair": full,
        "restoration": full,
        "setup": full,
        "survey": survey,
        "survey_sale": survey,
        "survey_loan": survey,
        "follow_up": full,
        "house": [*full[:-1], "to_stock"],
        "while_you_wait": [step for step in full if step != "looked_over"],
    }


def test_the_checklist_is_split_item_by_item() -> None:
    units = load("vocabulary/checklist.json")

    assert len(units) == 86
    assert not repeated([unit["key"] for unit in units])
    assert all("clause text not seen" in unit["source"] for unit in units)
