"""Templates compile, stay short, say what they want, and keep the page's security policy."""

from __future__ import annotations

import re
from collections.abc import Callable
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


def those(names: list[str], are_wrong: Callable[[str], object]) -> list[str]:
    """The templates of which something is wrong, by what their text says."""
    return [name for name in names if are_wrong(text_of(name))]


@pytest.mark.parametrize("name", TEMPLATES)
def test_a_template_compiles(name):
    assert get_template(name) is not None


def test_templates_are_short():
    assert those(TEMPLATES, lambda text: len(text.splitlines()) > LONGEST_LINES) == []


def test_no_template_has_a_wide_line():
    wide = {
        name: [line for line in text_of(name).splitlines() if len(line) > WIDEST]
        for name in TEMPLATES
    }

    assert {name: lines for name, lines in wide.items() if lines} == {}


def test_partials_say_first_what_they_want():
    wants = re.compile(r"\{#[^#]*\bWants\b[^#]*#\}|\{%\s*comment.*?\bWants\b", re.S)

    assert len(PARTIALS) > 100
    assert those(PARTIALS, lambda text: not wants.match(text.lstrip())) == []


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


def scripts_of_its_own(text: str) -> list[str]:
    return [
        attributes
        for attributes, body in re.findall(r"<script\b([^>]*)>(.*?)</script>", text, re.S)
        if "application/json" not in attributes and ("src=" not in attributes or body.strip())
    ]


def test_scripts_stand_in_files_of_their_own():
    assert scripts_of_its_own("<script>alert(1)</script>")
    assert those(TEMPLATES, scripts_of_its_own) == []


@pytest.mark.parametrize(
    ("fault", "pattern", "names"),
    [
        ("an element with a script of its own", r"<[^>]*\son[a-z]+\s*=|javascript:", TEMPLATES),
        ("a screen with a style of its own", r"<[a-z][^>]*\sstyle\s*=|<style", SCREENS),
        ("fetched from elsewhere", r'(?:src|href|action)="(?:https?:)?//', TEMPLATES),
        (  # They come from the settings, by the tag `languages`: one more is offered everywhere.
            "a language by its name",
            r">(Français|English)<|value=\"(fr|en)\"|== ['\"](fr|en)['\"]",
            TEMPLATES,
        ),
    ],
)
def test_no_template_has(fault: str, pattern: str, names: list[str]):
    found = re.compile(pattern, re.I if "script" in fault else 0)

    assert those(names, found.search) == [], fault


def test_every_form_that_sends_is_guarded_against_other_sites():
    sends = re.compile(r"<form\b[^>]*method=\"post\"[^>]*>(.{0,40})", re.S)

    def is_open(text: str) -> bool:
        return any(not one.lstrip().startswith("{% csrf_token %}") for one in sends.findall(text))

    assert is_open('<form method="post"><button>')
    assert those(SCREENS, is_open) == []
