"""The kinds of instrument that come with the casebook: their class, strings, parts and views."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.whole.fixture_files import KIND_FILES, load, parts, words

REQUIRED_VIEWS_OF_A_WHEEL_FIDDLE = set(
    words("front back left_side right_side head label wheel keybox_open scale_card")
)


def sheets_of(kind: dict[str, Any]) -> set[str]:
    return {one if isinstance(one, str) else one["sheet"] for one in kind["sheets"]}


@pytest.fixture(params=KIND_FILES, ids=lambda path: path.stem)
def kind(request: pytest.FixtureRequest) -> dict[str, Any]:
    return json.loads(request.param.read_text(encoding="utf-8"))


def test_the_kinds_of_the_house_are_there() -> None:
    assert {path.stem for path in KIND_FILES} >= {
        "vielle_french", "vielle_lute", "violin", "guitar", "other",
    }  # fmt: skip


def test_english_says_hurdy_gurdy_beside_wheel_fiddle_wherever_a_kind_is_named(kind: dict) -> None:
    """The name of a kind is where a page or a paper first says what the instrument is."""
    is_one = "wheel_fiddle" in kind["families"]

    assert ("wheel fiddle (hurdy-gurdy)" in kind["label"]["en"]) is is_one
    assert ("vielle à roue" in kind["label"]["fr"]) is is_one


def test_damage_is_never_a_required_view(kind: dict) -> None:
    required = {view["slug"]: view["required"] for view in kind["views"]}

    assert required["damage"] is False
    assert required["front"] and required["back"] and required["scale_card"]


def test_only_the_mass_is_not_in_millimetres(kind: dict[str, Any]) -> None:
    for dimension in kind["dimensions"]:
        assert dimension["unit"] == ("g" if dimension["key"] == "mass_g" else "mm")
        assert dimension["unit"] == "mm" or dimension["typical_mm"] is None


def test_only_a_wheel_fiddle_has_what_belongs_to_a_wheel(kind: dict[str, Any]) -> None:
    keys = {part["key"] for part in parts(kind["parts"])}
    sizes = {size["key"] for size in kind["dimensions"]}
    turns = "wheel_fiddle" in kind["families"]

    assert ("turn" in kind["permissions"]) is turns
    assert ("wheel" in sheets_of(kind)) is turns
    assert ("rim_band" in keys) is turns
    assert ("wheel_diameter" in sizes) is turns
    assert ("wheel" in {view["slug"] for view in kind["views"]}) is turns


def test_only_what_has_keys_is_read_key_by_key(kind: dict[str, Any]) -> None:
    keys = {part["key"] for part in parts(kind["parts"])}
    keyed = "keyed" in kind["families"]

    assert ("correction" in sheets_of(kind)) is keyed
    assert ("tangents_1" in keys) is keyed
    assert kind["key_count"] is None or keyed


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
        ("nyckelharpa", "321.322-71", 4),
        ("wheel_lira", "321.322-72", 3),
        ("fretted_zither", "314.122-6", 5),
        ("bowed_psaltery", "314.122-71", 5),
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
