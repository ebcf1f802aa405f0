"""The invoice as it is printed: one page, the sum and its day first, whatever the names are."""

from __future__ import annotations

import dataclasses
import html
import io
import re
from typing import Any

import pypdf
import pytest

from repairs.einvoice.document import InvoiceDoc
from repairs.invoices.compile import invoice_sheet
from repairs.people.house_models import House
from repairs.press.render import render, to_html
from tests.conftest import NOW
from tests.einvoice import samples
from tests.einvoice.samples import D

LONG_NAME = ("Compagnie des musiciens et sonneurs du pays " * 6)[:200].strip()
RIGHT_TO_LEFT = "מרים בן־דוד"
LINES = (
    samples.line("1", quantity=D("4.8333"), details="for finding 2"),
    samples.line("2", description="looking over", quantity=D(1), unit="C62", is_flat=True),
)


def doc(language: str, **changed: Any) -> InvoiceDoc:
    return dataclasses.replace(samples.PRIVATE, language=language, lines=LINES, **changed)


def named(name: str) -> InvoiceDoc:
    return doc("fr", buyer=dataclasses.replace(samples.PRIVATE.buyer, name=name))


def tidied(words: str) -> str:
    return " ".join(words.replace("\u00a0", " ").replace("\u202f", " ").split())


def shown(said: InvoiceDoc) -> str:
    page = to_html(invoice_sheet(said, made_at=NOW))
    return tidied(html.unescape(re.sub(r"<(style|title)\b.*?</\1>|<[^>]+>", " ", page, flags=re.S)))


def printed(said: InvoiceDoc) -> list[str]:
    pdf, count = render(invoice_sheet(said, made_at=NOW))
    pages = [tidied(page.extract_text()) for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]
    assert len(pages) == count
    return pages


@pytest.mark.real_press
@pytest.mark.parametrize(
    ("language", "first"),
    [("en", ("To be paid", "By", "Issued on")), ("fr", ("À payer", "Au plus tard le", "Date d’"))],
)
def test_an_invoice_is_one_page_and_begins_with_its_sum_and_its_day(shop, language, first):
    [page] = printed(doc(language))

    places = [page.index(words) for words in first]
    assert places == sorted(places)
    assert max(places) < page.index("4 h 50 min")


@pytest.mark.real_press
@pytest.mark.parametrize("said", [samples.TWO_RATES, samples.CREDITED, samples.REVERSED])
def test_each_kind_of_invoice_is_one_page(shop, said):
    assert len(printed(said)) == 1


@pytest.mark.real_press
@pytest.mark.parametrize("name", [LONG_NAME, RIGHT_TO_LEFT])
def test_a_name_that_is_long_or_written_from_the_right_stays_on_the_page(shop, name):
    assert len(printed(named(name))) == 1


def test_a_name_from_the_right_leaves_the_street_from_the_left(shop):
    page = to_html(invoice_sheet(named(RIGHT_TO_LEFT), made_at=NOW))

    street = samples.PRIVATE.buyer.address[0]
    assert f'<bdi dir="rtl">{RIGHT_TO_LEFT}</bdi>' in page
    assert f'<bdi dir="ltr">{html.escape(street)}</bdi>' in page


@pytest.mark.real_press
def test_a_house_that_has_but_its_name_prints_the_same_page(shop):
    House.objects.update(trade="", phone="", email="", registration="", address="")

    assert len(printed(doc("fr"))) == 1


@pytest.mark.parametrize(
    ("language", "flat", "beginnings", "pieces"),
    [
        ("en", "flat price", ("For finding 2", "Looking over"), "1 piece"),
        ("fr", "forfait", ("For finding 2", "Looking over"), "1 pièce"),
    ],
)
def test_hours_stand_once_a_flat_price_is_said_and_lines_begin_with_capitals(
    shop, language, flat, beginnings, pieces
):
    page = shown(doc(language))

    assert page.count("4 h 50 min") == 1
    assert "4.8333" not in page and "4,8333" not in page
    assert f"{flat} 48" in page and pieces not in page
    assert [words for words in beginnings if words not in page] == []
