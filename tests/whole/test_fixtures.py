"""The fixtures keep their promises: two languages, unique keys, known materials, dated sources."""

import datetime as dt
import json
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
KIND_FILES = sorted((FIXTURES / "kinds").glob("*.json"))
VOCABULARY_FILES = sorted((FIXTURES / "vocabulary").glob("*.json"))
OUR_FILES = [*KIND_FILES, *VOCABULARY_FILES, FIXTURES / "procedures.json"]


def words(text: str) -> list[str]:
    """Split a list of keys, which reads better as one line of words than one key a line."""
    return text.split()


TEXT_FIELDS = set(
    words("label hint definition caution act short note hs_text purpose words sell border")
)
KNOWN_VIEWS = set(
    words(
        "front back left_side right_side head label wheel keybox_open bridge tangents tail damage "
        "dog scroll soundpost scale_card"
    )
)
REQUIRED_VIEWS_OF_A_WHEEL_FIDDLE = set(
    words("front back left_side right_side head label wheel keybox_open scale_card")
)
KNOWN_GAUGES = set(words("wheel strings keyboard action timber climate joints listening imaging"))
STRING_ROLES = {"melody", "trompette", "drone", "sympathetic", "string"}
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


def load(name: str) -> Any:
    return json.loads((FIXTURES / name).read_text(encoding="utf-8"))


def walk(value: Any) -> Iterator[dict]:
    """Yield every object in the tree, however deep: a label may hide anywhere."""
    if isinstance(value, dict):
        yield value
        for child in value.values():
            yield from walk(child)
    elif isinstance(value, list):
        for child in value:
            yield from walk(child)


def texts(value: Any) -> list[dict]:
    """Return every text for people; the `note` of a string is a pitch, not a text."""
    return [
        node[field]
        for node in walk(value)
        for field in TEXT_FIELDS & node.keys()
        if not (field == "note" and "role" in node)
    ]


def parts(nodes: list[dict]) -> Iterator[dict]:
    for node in nodes:
        yield node
        yield from parts(node["children"])


def repeated(keys: list[str]) -> list[str]:
    return [key for key, times in Counter(keys).items() if times > 1]


def terms() -> list[dict]:
    return [term for group in load("vocabulary/damage.json")["groups"] for term in group["terms"]]


@pytest.fixture(params=KIND_FILES, ids=lambda path: path.stem)
def kind(request: pytest.FixtureRequest) -> dict:
    return json.loads(request.param.read_text(encoding="utf-8"))


@pytest.fixture(params=OUR_FILES, ids=lambda path: path.stem)
def content(request: pytest.FixtureRequest) -> Any:
    return json.loads(request.param.read_text(encoding="utf-8"))


# Every file


def test_all_kinds_and_vocabularies_are_there() -> None:
    assert {path.stem for path in KIND_FILES} >= {
        "vielle_french", "vielle_lute", "violin", "guitar", "other",
    }  # fmt: skip
    assert {path.stem for path in VOCABULARY_FILES} >= {
        "damage", "scales", "materials", "reasons", "checklist", "cautions", "as_found",
        "protection_needs",
    }  # fmt: skip


def test_every_text_speaks_both_languages(content: Any) -> None:
    found = texts(content)

    assert found
    for text in found:
        assert set(text) == {"en", "fr"}
        assert text["en"].strip() and text["fr"].strip()
        assert text["en"] == text["en"].strip() and text["fr"] == text["fr"].strip()


def test_texts_use_curly_apostrophes(content: Any) -> None:
    for text in texts(content):
        assert "'" not in text["en"] + text["fr"]
        assert '"' not in text["en"] + text["fr"]


def test_french_puts_a_no_break_space_before_tall_marks(content: Any) -> None:
    for text in texts(content):
        assert not re.search(r"[^\u00a0\u202f][:;?!»%]", text["fr"]), text["fr"]
        assert not re.search(r"«[^\u00a0\u202f]", text["fr"]), text["fr"]


def test_definitions_and_cautions_are_one_sentence(content: Any) -> None:
    for node in walk(content):
        for field in ("definition", "caution", "hint"):
            for sentence in node.get(field, {}).values():
                assert sentence[0].isupper() and sentence.endswith("."), sentence
                assert ". " not in sentence, sentence


# Kinds


def test_a_kind_is_filed_under_its_slug() -> None:
    for path in KIND_FILES:
        assert json.loads(path.read_text(encoding="utf-8"))["slug"] == path.stem


def test_keys_are_unique_in_a_kind(kind: dict) -> None:
    assert not repeated([part["key"] for part in parts(kind["parts"])])
    assert not repeated([string["key"] for string in kind["strings"]])
    assert not repeated([dimension["key"] for dimension in kind["dimensions"]])
    assert not repeated([view["slug"] for view in kind["views"]])


def test_part_keys_are_snake_case(kind: dict) -> None:
    for part in parts(kind["parts"]):
        assert re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", part["key"])


def test_parts_are_made_of_known_unprotected_materials(kind: dict) -> None:
    """A presumed rosewood or ivory would put a false claim into an official paper."""
    protected = {entry["key"]: entry["protected"] for entry in load("vocabulary/materials.json")}

    for part in parts(kind["parts"]):
        if part["material"] is not None:
            assert part["material"] in protected, part["key"]
            assert protected[part["material"]] is None, part["key"]


def test_views_gauges_roles_and_families_are_known(kind: dict) -> None:
    assert {view["slug"] for view in kind["views"]} <= KNOWN_VIEWS
    assert set(kind["gauges"]) <= KNOWN_GAUGES
    assert {string["role"] for string in kind["strings"]} <= STRING_ROLES
    assert kind["family"] in {"wheel_fiddle", "bowed", "plucked", "other"}


def test_damage_is_never_a_required_view(kind: dict) -> None:
    required = {view["slug"]: view["required"] for view in kind["views"]}

    assert required["damage"] is False
    assert required["front"] and required["back"] and required["scale_card"]


def test_dimensions_have_units_and_ordered_ranges(kind: dict) -> None:
    for dimension in kind["dimensions"]:
        assert dimension["unit"] == ("g" if dimension["key"] == "mass_g" else "mm")
        if dimension["typical_mm"] is not None:
            low, high = dimension["typical_mm"]
            assert 0 < low < high
            assert dimension["unit"] == "mm"


def test_only_a_wheel_fiddle_has_what_belongs_to_a_wheel(kind: dict) -> None:
    keys = {part["key"] for part in parts(kind["parts"])}

    assert kind["wheel"] is (kind["family"] == "wheel_fiddle")
    assert ("wheel" in kind["gauges"]) is kind["wheel"]
    assert ("rim_band" in keys) is kind["wheel"]
    assert (kind["key_count"] is not None) is kind["wheel"]


@pytest.mark.parametrize("slug", ["vielle_french", "vielle_lute"])
def test_a_wheel_fiddle_has_23_keys_and_six_strings(slug: str) -> None:
    fiddle = load(f"kinds/{slug}.json")
    labels = {part["key"]: part["label"]["en"] for part in parts(fiddle["parts"])}

    assert fiddle["key_count"] == 23
    assert "13" in labels["keys_lower"] and "10" in labels["keys_upper"]
    assert [string["note"] for string in fiddle["strings"]] == ["g'", "g'", "c'", "g", "c", "G"]
    assert {view["slug"] for view in fiddle["views"] if view["required"]} == (
        REQUIRED_VIEWS_OF_A_WHEEL_FIDDLE
    )


def test_the_back_tells_the_two_wheel_fiddles_apart() -> None:
    flat, lute = (
        {part["key"] for part in parts(load(f"kinds/{slug}.json")["parts"])}
        for slug in ("vielle_french", "vielle_lute")
    )

    assert {"back", "ribs"} <= flat and "staves" not in flat
    assert "staves" in lute and not {"back", "ribs"} & lute


@pytest.mark.parametrize(
    ("slug", "number", "string_count"),
    [
        ("vielle_french", "321.322-72", 6),
        ("vielle_lute", "321.321-72", 6),
        ("violin", "321.322-71", 4),
        ("guitar", "321.322-5", 6),
    ],
)
def test_the_class_and_the_strings_of_each_kind(slug: str, number: str, string_count: int) -> None:
    found = load(f"kinds/{slug}.json")

    assert found["hs_number"] == number
    assert len(found["strings"]) == string_count


def test_the_inferred_class_of_the_lute_back_says_what_lists_give() -> None:
    hs_text = load("kinds/vielle_lute.json")["hs_text"]

    assert "321.322-72" in hs_text["en"]
    assert "321.322-72" in hs_text["fr"]


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

    assert len(units) == 81
    assert not repeated([unit["key"] for unit in units])
    assert all("clause text not seen" in unit["source"] for unit in units)
