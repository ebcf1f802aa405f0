"""Templates compile, stay short, say what they want, and keep the page's security policy."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.template.loader import get_template

FOLDER = Path(settings.BASE_DIR) / "templates"
TEMPLATES = sorted(file.relative_to(FOLDER).as_posix() for file in FOLDER.rglob("*.html"))
LONGEST_LINES = 120
WIDEST = 100  # characters of a line
FRAME = "press/frame.html"  # extended by the papers, included by none
FRAMES = {FRAME}


def text_of(name: str) -> str:
    return (FOLDER / name).read_text(encoding="utf-8")


def names_in(name: str, tag: str) -> set[str]:
    """The templates that one template names by a tag, as in ``{% include "…" %}``."""
    return set(re.findall(rf'{{%\s*{tag}\s+["\']([^"\']+)["\']', text_of(name)))


def papers() -> set[str]:
    """What is printed: whatever extends the frame of all papers, with its parts, and labels."""
    found = {name for name in TEMPLATES if FRAME in names_in(name, "extends")} | {FRAME}
    while parts := {part for name in found for part in names_in(name, "include")} - found:
        found |= parts
    return found | {name for name in TEMPLATES if "sheet.title }}</title>" in text_of(name)}


def named_by(tag: str) -> set[str]:
    """The templates that a tag names anywhere, as in ``{% include "…" %}``."""
    return {named for name in TEMPLATES for named in names_in(name, tag)}


SCREENS = sorted(set(TEMPLATES) - papers())
INCLUDED = named_by("include")
PARTIALS = sorted(
    {name for name in TEMPLATES if Path(name).name.startswith("_")} - FRAMES | INCLUDED
)


@pytest.mark.parametrize("name", TEMPLATES)
def test_a_template_compiles(name):
    assert get_template(name) is not None


@pytest.mark.parametrize("name", TEMPLATES)
def test_a_template_is_short(name):
    assert len(text_of(name).splitlines()) <= LONGEST_LINES


@pytest.mark.parametrize("name", TEMPLATES)
def test_a_template_has_no_wide_line(name):
    assert [line for line in text_of(name).splitlines() if len(line) > WIDEST] == []


@pytest.mark.parametrize("name", PARTIALS)
def test_a_partial_says_first_what_it_wants(name):
    first = text_of(name).lstrip()

    assert re.match(r"\{#[^#]*\bWants\b[^#]*#\}|\{%\s*comment.*?\bWants\b", first, re.S)


def test_what_is_included_or_extended_is_there():
    named = INCLUDED | named_by("extends")

    assert named - set(TEMPLATES) == set()
    assert len(named) > 10


def test_no_template_is_included_by_a_name_that_cannot_be_checked():
    loose = [name for name in TEMPLATES if re.search(r"{%\s*include\s+[^\"'\s]", text_of(name))]

    assert loose == []


def test_every_partial_is_used():
    spoken = {name for name in TEMPLATES if Path(name).name.startswith("_")}
    code = "\n".join(
        file.read_text(encoding="utf-8")
        for file in (Path(settings.BASE_DIR) / "repairs").rglob("*.py")
    )

    unused = {name for name in spoken - INCLUDED - FRAMES if name not in code}

    assert unused == set()


@pytest.mark.parametrize("name", TEMPLATES)
def test_a_script_stands_in_a_file_of_its_own(name):
    scripts = re.findall(r"<script\b([^>]*)>(.*?)</script>", text_of(name), re.S)

    for attributes, body in scripts:
        assert "application/json" in attributes or ("src=" in attributes and not body.strip())


@pytest.mark.parametrize("name", TEMPLATES)
def test_no_element_carries_a_script_of_its_own(name):
    assert not re.search(r"<[^>]*\son[a-z]+\s*=|javascript:", text_of(name), re.I)


@pytest.mark.parametrize("name", SCREENS)
def test_a_screen_has_no_style_of_its_own(name):
    text = text_of(name)

    assert not re.search(r"<[a-z][^>]*\sstyle\s*=", text)
    assert "<style" not in text


@pytest.mark.parametrize("name", TEMPLATES)
def test_nothing_is_fetched_from_elsewhere(name):
    assert not re.search(r'(?:src|href|action)="(?:https?:)?//', text_of(name))


@pytest.mark.parametrize("name", SCREENS)
def test_every_form_that_sends_is_guarded_against_other_sites(name):
    forms = re.findall(r"<form\b[^>]*method=\"post\"[^>]*>(.{0,40})", text_of(name), re.S)

    assert all(start.lstrip().startswith("{% csrf_token %}") for start in forms)


@pytest.mark.parametrize("name", TEMPLATES)
def test_no_template_names_a_language(name):
    """They come from the settings, by the tag `languages`: one more is then offered everywhere."""
    words = r">(Français|English)<|value=\"(fr|en)\"|== ['\"](fr|en)['\"]"

    assert not re.search(words, text_of(name))
