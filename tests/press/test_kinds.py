"""Kinds of paper are told by the rooms that make them; the press only repeats what it was told."""

from __future__ import annotations

import re
from importlib import import_module
from pathlib import Path

import pytest
from django.conf import settings
from django.template import Context, Template
from django.urls import reverse
from django.utils import timezone, translation

from repairs.apps import TELLING
from repairs.bench.deeds import deed_words
from repairs.papers.kinds import KINDS
from repairs.press import kinds
from repairs.press.models import Paper

ROOMS = Path(settings.BASE_DIR) / "repairs"
MADE_ELSEWHERE = {
    "consent_record",
    "credit_note",
    "estimate",
    "intake_receipt",
    "invoice",
    "reminder",
    "statement",
}


def telling() -> list[str]:
    files = sorted(ROOMS.rglob("paper_kinds.py"))
    return [".".join(file.relative_to(ROOMS.parent).with_suffix("").parts) for file in files]


def constants(module: str) -> dict[str, str]:
    return {name: value for name, value in vars(import_module(module)).items() if name.isupper()}


def test_every_room_that_tells_of_its_papers_is_asked_at_the_start():
    assert set(telling()) <= set(TELLING)


def test_the_kinds_known_are_those_that_the_rooms_can_issue():
    told = [key for module in telling() for key in constants(module).values()]

    assert set(told) == MADE_ELSEWHERE | set(KINDS)
    assert set(kinds.registered()) == MADE_ELSEWHERE | set(KINDS)


@pytest.mark.parametrize("module", telling())
def test_each_kind_that_a_room_tells_of_is_compiled_there(module):
    room = (ROOMS.parent / module.replace(".", "/")).parent
    code = "\n".join(
        file.read_text(encoding="utf-8")
        for file in room.rglob("*.py")
        if file.name != "paper_kinds.py"
    )

    assert [name for name in constants(module) if not re.search(rf"\b{name}\b", code)] == []


def test_two_rooms_cannot_take_the_same_kind():
    with pytest.raises(ValueError, match="invoice"):
        kinds.register("invoice", "another invoice")


def test_a_kind_is_no_longer_than_its_column():
    with pytest.raises(ValueError, match="24"):
        kinds.register("x" * 25, "long")

    assert "x" * 25 not in kinds.registered()


def a_paper(by, kind: str) -> Paper:
    return Paper.objects.create(
        kind=kind,
        subject="case:2026-001",
        title="Loan agreement 2026-001",
        language="en",
        version=1,
        code="ABCD-EFGH-JKMN",
        sha256="0" * 64,
        file_name="papers/none.pdf",
        size_bytes=1,
        pages=1,
        data={},
        renderer="none",
        issued_at=timezone.now(),
        issued_by=by,
    )


def test_a_paper_of_a_kind_that_no_room_makes_any_more_is_shown_by_its_key(client, helene):
    paper = a_paper(helene, "loan_agreement")

    page = client.get(reverse("press:verify_code", args=[paper.code])).text

    assert "Loan_agreement" in page
    assert paper.kind_label == "loan_agreement"
    said = deed_words("paper.issued", {"kind": "loan_agreement", "version": 1})
    assert said == "issued the loan_agreement, version 1"


@pytest.mark.parametrize(
    ("language", "words"), [("en", "return receipt"), ("fr", "reçu de restitution")]
)
def test_a_known_kind_is_called_by_its_name(helene, language, words):
    paper = Paper(kind="return_receipt")

    with translation.override(language):
        assert paper.kind_label == words


@pytest.mark.parametrize(("code", "name"), [("fr", "Français"), ("en", "English"), ("la", "la")])
def test_a_paper_tells_its_language_by_its_name(code, name):
    page = Template("{% load press_words %}{{ code|language_name }}")

    shown = page.render(Context({"code": code}))

    assert shown == name
