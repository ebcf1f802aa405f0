"""The receipt that the owner takes home, and the label that hangs on the instrument."""

from __future__ import annotations

import html
import io
import subprocess
from pathlib import Path
from typing import Any

import pytest
import segno
from django.conf import settings
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader

from repairs.people.house_models import House
from repairs.press.models import Paper

DPI, CODE_ENDS_MM = 600, 33


@pytest.fixture
def luthier(client, armand, house):
    client.force_login(armand)
    return client


def words_of(pdf: bytes) -> str:
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.split()).replace("- ", "-")  # a code may be parted at a line's end


def test_what_will_be_issued_is_shown_and_nothing_is_issued_yet(luthier, case):
    page = luthier.get(reverse("cases:receipt", args=[case.number])).text

    assert "This is what will be issued." in page
    assert "Crack in the soundboard. / Wheel turns. / Strings slack." in page
    assert "Garance Ollivant" in page
    assert "6,800.00\u00a0EUR" in page
    assert not Paper.objects.exists()


def test_the_page_shows_all_that_the_owner_will_sign(luthier, case):
    page = luthier.get(reverse("cases:receipt", args=[case.number]), {"language": "en"}).text

    assert case.owner_words in html.unescape(page)
    for said in (
        "Insured during the stay",
        "Wheel may be turned",
        "May be played",
        "Old strings and cotton",
        "Terms",
    ):
        assert said in page


def test_a_kind_without_a_wheel_is_not_asked_about_one(luthier, case):
    case.instrument.kind = "guitar"
    case.instrument.save()

    page = luthier.get(reverse("cases:receipt", args=[case.number]), {"language": "en"}).text

    assert "May be played" in page
    assert "Wheel may be turned" not in page


@pytest.mark.real_press
def test_nobody_signs_a_page_on_which_nothing_stands(luthier, case, house):
    House.objects.update(terms="\n".join(f"Term {number} of the house." for number in range(14)))

    pdf = luthier.get(reverse("cases:receipt_preview", args=[case.number])).content

    pages = [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]
    signed = [words for words in pages if "signature" in words]
    assert len(signed) == 1
    assert "Term 13 of the house." in signed[0]


def test_a_receipt_is_shown_in_the_language_that_is_chosen(luthier, case, settings):
    settings.LANGUAGE_CODE = "fr"  # the house's own, for one that it does not speak
    address = reverse("cases:receipt", args=[case.number])

    french = luthier.get(address, {"language": "fr"}).text
    unknown = luthier.get(address, {"language": "tlh"}).text

    assert "réparation" in french
    assert "réparation" in unknown
    assert 'name="language" value="fr"' in unknown


@pytest.mark.real_press
def test_a_receipt_is_issued_and_a_second_one_names_the_first(luthier, case):
    address = reverse("cases:receipt", args=[case.number])
    answer = luthier.post(address, {"language": "en"})
    first = Paper.objects.get()
    shown = luthier.get(address).text
    luthier.post(address, {"language": "en"})

    second = Paper.objects.exclude(pk=first.pk).get()
    first = Paper.objects.get(pk=first.pk)
    assert answer["Location"] == reverse("papers:detail", args=[first.uuid])
    assert (first.version, first.replaces, first.is_current) == (1, None, False)
    assert (second.version, second.replaces, second.is_current) == (2, first, True)
    assert first.code in shown
    assert Paper.objects.current("intake_receipt", case.log_key) == second
    pdf = b"".join(luthier.get(reverse("papers:file", args=[second.uuid])).streaming_content)
    assert second.code in words_of(pdf)
    assert first.code in words_of(pdf)


def test_a_receipt_once_issued_keeps_what_it_said(luthier, case):
    luthier.post(reverse("cases:receipt", args=[case.number]), {"language": "en"})
    case.owner_words = "It whistles."
    case.save()

    data = luthier.get(reverse("papers:data", args=[Paper.objects.get().uuid])).json()

    assert data["content"]["owner_words"] == "It growls once a turn."


def test_a_preview_says_that_it_is_one(luthier, case):
    answer = luthier.get(reverse("cases:receipt_preview", args=[case.number]))

    assert answer["Content-Type"] == "application/pdf"
    assert "no-store" in answer["Cache-Control"]
    assert "PREVIEW" in words_of(answer.content)
    assert not Paper.objects.exists()


def modules_of(pdf: bytes, folder: Path, size: int) -> list[list[int]]:
    """Look at the printed label and read the square on its left, module by module."""
    (folder / "label.pdf").write_bytes(pdf)
    subprocess.run(
        ["pdftoppm", "-gray", "-r", str(DPI), "-singlefile", "label.pdf", "label"],
        cwd=folder,
        check=True,
    )
    page = Image.open(folder / "label.pgm")
    left = page.crop((0, 0, round(CODE_ENDS_MM / 25.4 * DPI), page.height))
    left = left.point(lambda shade: 255 * (shade < 128))
    box = left.getbbox()
    assert box is not None
    square = left.crop(box)
    step_x, step_y = square.width / size, square.height / size
    return [
        [
            int(_pixel(square, (column + 0.5) * step_x, (row + 0.5) * step_y))
            for column in range(size)
        ]
        for row in range(size)
    ]


def _pixel(image: Image.Image, x: float, y: float) -> bool:
    shade: Any = image.getpixel((int(x), int(y)))
    return bool(shade)


@pytest.mark.real_press
def test_the_code_on_the_label_leads_to_the_case(luthier, case, tmp_path):
    answer = luthier.get(reverse("cases:label", args=[case.number]))

    address = settings.SITE_ADDRESS + case.get_absolute_url()
    expected = [list(row) for row in segno.make(address, error="m", micro=False).matrix]
    page = PdfReader(io.BytesIO(answer.content)).pages
    assert answer["Content-Type"] == "application/pdf"
    assert len(page) == 1
    assert "2026-001" in words_of(answer.content)
    assert "I-0001" in words_of(answer.content)
    assert modules_of(answer.content, tmp_path, len(expected)) == expected
