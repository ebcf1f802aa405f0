"""Our drawings: sound, small, every word in both languages, readable from either hand."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from django.conf import settings
from django.template import Context, Template
from django.utils import translation
from lxml import etree  # type: ignore[import-untyped]

from repairs.instruments.kinds import families, kinds
from repairs.instruments.pattern import Kind
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.where import drawings_at, places
from repairs.screens.drawings import (
    UnknownDrawingError,
    drawing,
    families_of,
    icon,
    name_of,
    says_of,
    words,
)
from repairs.screens.svg import box_of, read_svg
from tests.whole.fixture_files import FIXTURES

FOLDER = FIXTURES / "drawings"
DRAWN = sorted(f"{path.parent.name}/{path.stem}" for path in FOLDER.glob("[am]*/*.svg"))
ICONS = sorted(path.stem for path in (FOLDER / "icons").glob("*.svg"))
MOST_BYTES = 12 * 1024
BARE = re.compile(r"(?:[0-9 ,.·×≈≤≥°%+/−–…]|mm|cents|Hz|g|m|°C|α|L)+")
COMING = {
    ("correction", "at"), ("crack_joint", "step"), ("dog_card", "stops"),
    ("string_set", "total_mm"), ("voicing_card", "stops"), ("wheel", "end_play"),
    ("wheel", "slot"), ("wheel", "turns"),
}  # fmt: skip
"""Values that sheets will ask for; their drawings are there."""


def tree(name: str) -> ET.Element:
    return read_svg(FOLDER / f"{name}.svg")


def texts(root: ET.Element) -> list[ET.Element]:
    return [one for one in root.iter() if one.tag in ("title", "desc", "text")]


def shown(name: str, language: str = "en", **how) -> ET.Element:
    with translation.override(language):
        return etree.fromstring(drawing(name, **how))


def test_a_drawing_is_small_and_can_stand_twice_in_a_page():
    for name in DRAWN:
        root = tree(name)

        assert (FOLDER / f"{name}.svg").stat().st_size < MOST_BYTES
        assert all(one.get("id") is None for one in root.iter())
        assert [one.tag for one in root][:2] == ["title", "desc"]


def test_every_word_of_a_drawing_has_its_key_and_both_languages():
    for name in DRAWN:
        for one in texts(tree(name)):
            key, said = one.get("data-word"), one.text or ""
            assert key in words() if key else BARE.fullmatch(said), said


def test_words_stand_inside_the_picture_for_either_hand():
    for name in DRAWN:
        for left_handed in (False, True):
            root = shown(name, left_handed=left_handed)
            width, height = box_of(root)
            for one in root.iter("text"):
                assert 0 <= float(one.get("x", -1)) <= width
                assert 0 <= float(one.get("y", -1)) <= height


@pytest.mark.parametrize("language", ["en", "fr"])
def test_a_drawing_is_said_in_the_language_of_its_reader(language):
    for name in DRAWN:
        root = shown(name, language)

        stem = name.partition("/")[2]
        with translation.override(language):
            assert root.findtext("title") == words()[f"name.{stem}"][language] == name_of(name)
            assert root.findtext("desc") == words()[f"says.{stem}"][language] == says_of(name)
        for one in texts(root):
            if key := one.get("data-word"):
                assert one.text == words()[key][language]


def test_french_words_are_set_as_french_is():
    for key, said in words().items():
        assert set(said) == {"en", "fr"}, key
        assert said["en"].strip() and said["fr"].strip(), key
        assert not re.search(r"['\"]", said["en"] + said["fr"]), key
        assert not re.search(r"[^\u00a0\u202f][:;?!»%]", said["fr"]), key


def test_no_word_is_kept_that_nothing_says():
    used = {one.get("data-word") for name in DRAWN for one in texts(tree(name))}
    used |= {f"icon.{name}" for name in ICONS}

    assert {key.removesuffix(".left_handed") for key in words()} == used - {None}


def test_the_mirror_image_keeps_its_words_readable():
    for name in DRAWN:
        usual, turned = shown(name), shown(name, left_handed=True)
        width, _height = box_of(usual)
        is_handed = usual.get("data-handed") is not None

        assert all(one.get("transform") is None for one in texts(turned))
        for one, other in zip(usual.iter("text"), turned.iter("text"), strict=True):
            x = float(one.get("x", 0))
            wanted = width - x if is_handed else x
            assert float(other.get("x", 0)) == pytest.approx(wanted, abs=0.06)
        shapes = [one for one in turned if one.tag not in ("title", "desc", "text")]
        assert all(("scale(-1 1)" in one.get("transform", "")) is is_handed for one in shapes)


def test_left_and_right_are_said_as_they_lie():
    usual = [one.text for one in shown("act/tangent_to_wheel").iter("text")]
    turned = [one.text for one in shown("act/tangent_to_wheel", left_handed=True).iter("text")]

    assert {"← nut", "wheel →"} <= set(usual)
    assert {"nut →", "← wheel"} <= set(turned)
    assert "anticlockwise" in says_of("act/tangent_to_wheel")
    assert "foot: clockwise" in says_of("act/tangent_to_wheel", left_handed=True)


def test_a_screw_is_a_right_hand_screw_for_every_hand():
    assert drawing("act/screw_height") == drawing("act/screw_height", left_handed=True)


def test_a_sign_is_passed_over_beside_its_word_and_said_when_alone():
    for name in ICONS:
        beside = etree.fromstring(icon(name))

        assert beside.get("aria-hidden") == "true"
        assert beside.get("viewBox") == "0 0 24 24"
        for language in ("en", "fr"):
            with translation.override(language):
                alone = etree.fromstring(icon(name, said=True))
            assert alone.get("aria-hidden") is None
            assert alone.get("aria-label") == words()[f"icon.{name}"][language]


def test_a_template_asks_for_a_drawing_and_a_sign():
    page = Template(
        "{% load drawings %}{% drawing 'measure/wheel_rim' captioned=True %}"
        "{% icon 'crack' said=True %}{{ 'measure/wheel_rim'|drawing_name }}"
    ).render(Context())

    assert '<svg class="drawn"' in page and 'aria-label="crack"' in page
    assert "<title" not in page and page.count('aria-hidden="true"') == 1
    assert page.endswith(words()["name.wheel_rim"]["en"])
    assert not re.search(r"style=|<script|\son\w+=|xmlns|href", page)


@pytest.mark.parametrize("ask", [lambda: drawing("measure/moon"), lambda: icon("moon")])
def test_a_drawing_that_is_not_there_is_named(ask):
    with pytest.raises(UnknownDrawingError, match=r"fixtures/drawings/\w+/moon\.svg"):
        ask()


def test_what_shows_a_wheel_is_for_what_has_one():
    turning = re.compile(
        r"\b(wheels?|crank|rims?|roues?|manivelle|bandage|chien|trompette)\b", re.I
    )
    for name in DRAWN:
        said = " ".join(one.text or "" for code in ("en", "fr") for one in texts(shown(name, code)))
        shows = families_of(name)
        assert set(shows) <= set(families()), name
        assert shows or not turning.search(said), name
        assert not set(shows) & {"wheel_fiddle", "dog"} or not fits(kinds()["violin"], name)


def fits(kind: Kind, name: str) -> bool:
    return kind.fits(families_of(name))


def test_templates_name_only_what_is_drawn():
    templates = (Path(settings.BASE_DIR) / "templates").rglob("*.html")
    text = "\n".join(file.read_text(encoding="utf-8") for file in templates)

    assert set(re.findall(r"{% drawing [\"']([^\"']+)[\"']", text)) <= set(DRAWN)
    assert set(re.findall(r"{% icon [\"']([^\"']+)[\"']", text)) <= set(ICONS)


def test_every_value_names_drawings_that_are_there_and_each_place_is_named():
    named = {
        one for gauge, cells in places().items() for key in cells for one in drawings_at(gauge, key)
    }

    assert named <= set(DRAWN)
    assert {name for name in DRAWN if name.startswith("measure/")} <= named


def test_values_with_drawings_are_asked_for_by_their_sheets():
    asked = {
        (gauge, cell.key)
        for gauge, sheet in SHEETS.items()
        for cell in (*sheet.cells, *sheet.columns)
    }
    named = {(gauge, key) for gauge, cells in places().items() for key in cells if gauge in SHEETS}

    assert named - asked == COMING
    assert {gauge for gauge, _key in named & asked} == set(SHEETS)
