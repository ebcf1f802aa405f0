"""The estimate as it is printed: one page that can be signed, whatever the names are."""

from __future__ import annotations

import dataclasses
import html
import io
import re
from decimal import Decimal
from typing import Any

import pypdf
import pytest
from django.utils import timezone

from repairs.estimates.compile import estimate_sheet
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.people.house_models import House
from repairs.people.models import Client
from repairs.press.actions import propose_seal
from repairs.press.render import render, to_html
from tests import factories
from tests.outside.verapdf import validate

LONG_NAME = ("Compagnie des musiciens et sonneurs du pays " * 6)[:200].strip()
RIGHT_TO_LEFT = "מרים בן־דוד"


@pytest.fixture
def offered(house, case, finding, armand):
    """Three ways, each with what an owner weighs, and a photo of what is meant."""
    photo = factories.photo(case, by=armand, data=factories.jpeg(900, 600, seed=1), view="front")
    factories.tag(photo, finding, by=armand)
    seam, turning = factories.work_line(findings=[finding]), factories.work_line("turning")
    said: dict[str, Any] = {
        "promise": "The soundboard holds; the instrument may wait for years, at rest.",
        "risk": "The crack may not close as a whole: a fillet would be talked over first.",
        "reversibility": "Hide glue and studs: they come off with damp.",
        "left_out": "Wheel, keys, strings and playing.",
    }
    glue = LineWish(kind="material", words="glue", amount=Decimal("12"))
    return factories.estimate(
        case,
        OptionWish(kind="safe", title="to hold the body", lines=[seam, glue], **said),
        OptionWish(kind="playable", lines=[seam, turning, glue], **said),
        OptionWish(kind="full", lines=[seam, turning, glue], ceiling=Decimal("900"), **said),
        by=armand,
        issued=False,
        survey_fee=Decimal("60"),
        deposit_pct=30,
    )


def pages_of(pdf: bytes) -> list[str]:
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return [tidied(page.extract_text()) for page in pages]


def tidied(words: str) -> str:
    return " ".join(words.replace("\u00a0", " ").replace("\u202f", " ").split())


def shown(row, language: str) -> str:
    page = to_html(estimate_sheet(row, language=language, made_at=timezone.now()))
    text = re.sub(r"<(style|title)\b.*?</\1>|<[^>]+>", " ", page, flags=re.S)
    return tidied(html.unescape(text))


@pytest.mark.real_press
@pytest.mark.parametrize("language", ["en", "fr"])
def test_three_options_stand_on_one_page_that_can_be_signed(offered, language):
    sheet = estimate_sheet(offered, language=language, made_at=timezone.now())

    pdf, count = render(sheet)

    first, *_others = pages_of(pdf)
    signed = {
        "en": ("Never more without a new consent", "Owner or agent: name, date, signature"),
        "fr": ("Jamais plus sans nouvel accord", "Propriétaire ou mandataire : nom, date"),
    }[language]
    assert all(words in first for words in signed)
    assert count <= 2
    assert render(sheet)[0] == pdf


@pytest.mark.real_press
def test_with_its_photo_it_is_archival_and_accessible(offered, armand, tmp_path):
    sheet = estimate_sheet(offered, language="fr", made_at=timezone.now())
    seal = propose_seal(sheet.kind, sheet.subject, by=armand, at=timezone.now())
    path = tmp_path / "estimate.pdf"
    path.write_bytes(render(dataclasses.replace(sheet, seal=seal))[0])

    assert validate([path]) == {path.name: {"3a": [], "ua1": []}}


@pytest.mark.real_press
def test_a_small_estimate_is_one_page(house, case, armand):
    row = factories.estimate(case, by=armand, issued=False)

    assert render(estimate_sheet(row, language="en", made_at=timezone.now()))[1] == 1


@pytest.mark.real_press
@pytest.mark.parametrize("name", [LONG_NAME, RIGHT_TO_LEFT])
def test_a_name_that_is_long_or_written_from_the_right_is_printed_whole(offered, name):
    Client.objects.filter(pk=offered.case.owner_id).update(name=name)
    offered.case.owner.refresh_from_db()
    sheet = estimate_sheet(offered, language="fr", made_at=timezone.now())

    pdf, _count = render(sheet)

    assert dataclasses.asdict(sheet.body)["owner"][0] == name
    assert "Propriétaire ou mandataire" in pages_of(pdf)[0]
    side = "rtl" if name == RIGHT_TO_LEFT else "ltr"
    assert f'<bdi dir="{side}">{name}</bdi>' in to_html(sheet)


@pytest.mark.real_press
def test_a_house_that_has_but_its_name_prints_the_same_page(offered):
    House.objects.update(trade="", phone="", email="", registration="", address="")

    _pdf, count = render(estimate_sheet(offered, language="en", made_at=timezone.now()))

    assert count <= 2


@pytest.mark.parametrize(
    ("language", "said"),
    [
        (
            "en",
            (
                "Tick the box of one option, date and sign.",
                "As option 1",
                "I agree to this too",
                "foreseen: 158.40 – 194.40 EUR",
                "30 % of the lower total, when it is agreed to",
            ),
        ),
        (
            "fr",
            (
                "Cochez la case d’une seule option, datez et signez.",
                "Comme l’option 1",
                "J’accepte cela aussi",
                "prévu : 158,40 – 194,40 EUR",
                "30 % du total le plus bas, à l’accord",
            ),
        ),
    ],
)
def test_the_sentences_of_the_page_in_both_languages(offered, language, said):
    page = shown(offered, language)

    assert [words for words in said if words not in page] == []


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", "We stop and ask you before the bill passes"),
        ("fr", "Nous nous arrêtons et vous consultons avant que la facture ne dépasse"),
    ],
)
def test_no_sentence_and_no_line_stands_twice(offered, language, words):
    page = shown(offered, language)

    assert page.count("12.00 EUR" if language == "en" else "12,00 EUR") == 1
    assert page.count(words) == 3  # the ceilings differ: each option has its own
