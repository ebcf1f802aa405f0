"""A page carries the words of the modules that it loads, and no others."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from django.conf import settings
from django.urls import reverse
from django.utils import translation

from repairs.language.text import LANGUAGES
from repairs.screens import scripts

ROOT = Path(settings.BASE_DIR)
JS = ROOT / "repairs" / "static" / "repairs" / "js"
TEMPLATES = ROOT / "templates"
KEY = r"[a-z_]+(?:\.[a-z_]+)*"
OPEN = re.compile(r"\$\{[^}]*\}")


def with_imports(script: str) -> set[Path]:
    """The module with all modules that it imports, however deep."""
    found, waiting = set(), [JS / script]
    while waiting:
        file = waiting.pop()
        if file in found:
            continue
        found.add(file)
        text = file.read_text(encoding="utf-8")
        waiting += [
            (file.parent / name).resolve() for name in re.findall(r'from "(\.[^"]+)"', text)
        ]
    return found


def source_of(script: str) -> str:
    return "\n".join(file.read_text(encoding="utf-8") for file in sorted(with_imports(script)))


def asked(source: str) -> set[str]:
    """Keys that are asked for in so many words, plurals with their two forms."""
    keys = set(re.findall(rf'\bsay\("({KEY})"', source))
    counted = re.findall(rf'\bsayCount\("({KEY})"', source)
    return keys | {f"{key}.{form}" for key in counted for form in ("one", "other")}


def may_be_asked(key: str, source: str) -> bool:
    """Whether the key stands in the source, whole or as a pattern with something to fill in."""
    if f'"{key}"' in source or f'"{key.rpartition(".")[0]}"' in source:
        return True
    patterns = re.findall(r"`([a-z_]+\.[^`\s]+)`", source)
    wholes = (r"\w+".join(map(re.escape, OPEN.split(pattern))) for pattern in patterns)
    return any(re.fullmatch(whole, key) for whole in wholes)


def entries() -> list[str]:
    """The modules that a page loads by themselves."""
    text = "\n".join(file.read_text(encoding="utf-8") for file in TEMPLATES.rglob("*.html"))
    return sorted(set(re.findall(r'{% script "([\w.]+)" %}', text)))


def test_every_module_that_a_page_loads_has_its_words():
    assert entries() == list(scripts.registered())


@pytest.mark.parametrize("script", entries())
def test_a_module_asks_for_the_words_that_it_has_and_for_no_others(script):
    source, words = source_of(script), scripts.words_of(script)

    assert asked(source) - set(words) == set()
    assert [key for key in words if not may_be_asked(key, source)] == []


def test_no_template_loads_a_module_without_its_words():
    loose = [
        file.name
        for file in TEMPLATES.rglob("*.html")
        if "repairs/js/" in file.read_text(encoding="utf-8")
    ]

    assert loose == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_words_are_said_in_the_language_of_the_page(language):
    said = {"en": "Put it back", "fr": "Rétablir"}

    with translation.override(language):
        assert str(scripts.words_of("draft.js")["draft.put_back"]) == said[language]


def test_words_are_not_registered_twice():
    with pytest.raises(ValueError, match="twice"):
        scripts.register("page.js", {})
    with pytest.raises(ValueError, match="same key"):
        scripts.register("other.js", {"undo": "Undo"}, {"undo": "Undo"})

    assert "other.js" not in scripts.registered()


def carried(page: str) -> dict[str, dict[str, str]]:
    """The words that a page carries, by the module beside which they stand."""
    found = re.findall(r'<script id="words-(\w+)" type="application/json">(.*?)</script>', page)
    return {name: json.loads(words) for name, words in found}


def test_a_page_carries_only_the_words_of_its_modules(client, house, case, photo, armand):
    client.force_login(armand)

    home = client.get(reverse("bench:home")).text
    tagging = client.get(photo.get_absolute_url()).text
    looking = client.get(reverse("findings:look_over", args=[case.number])).text

    assert set(carried(home)) == {"page"}
    assert set(carried(tagging)) == {"page", "tagger"}
    assert set(carried(looking)) == {"page", "draft"}
    assert carried(tagging)["tagger"]["tool.select"] == "Select"
    assert "Tools for the tags" not in home + looking


def test_a_module_that_is_asked_for_twice_is_loaded_once(client, house, case, armand):
    client.force_login(armand)
    client.cookies["draft_sent"] = "look"

    page = client.get(reverse("findings:look_over", args=[case.number])).text

    assert page.count("js/draft.js") == page.count('id="words-draft"') == 1
