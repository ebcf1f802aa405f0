"""A register of ten thousand instruments and a table of five hundred parts stay quick to use."""

from __future__ import annotations

import datetime as dt
import html
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from repairs.instruments.models import Instrument
from repairs.instruments.part_models import Part
from tests import factories

MANY, PARTS = 10_001, 500
ENTERED = dt.datetime(2020, 1, 1, tzinfo=dt.UTC)


def fill_register(owner, count: int, first: int = 1) -> None:
    rows = [
        Instrument(
            number=f"I-{n:04d}",
            sequence=n,
            owner=owner,
            kind="violin",
            maker=f"Maker {n}",
            folded_maker=f"maker {n}",
            created_at=ENTERED,
        )
        for n in range(first, first + count)
    ]
    Instrument.objects.bulk_create(rows, batch_size=500)


def queries_of(client, address: str, **said: str) -> int:
    with CaptureQueriesContext(
        connection,
    ) as captured:
        answer = client.get(address, said)
    assert answer.status_code == 200
    return len(captured)


@pytest.fixture
def register(client, helene, owner):
    client.force_login(helene)
    fill_register(owner, MANY)
    return reverse("instruments:list")


def test_the_register_is_read_page_by_page(client, register):
    first = client.get(register)
    second = client.get(register, {"page": "2"})
    last = client.get(register, {"page": "201"})

    assert "1 to 50 of 10001" in first.text and "51 to 100 of 10001" in second.text
    assert "10001 to 10001 of 10001" in last.text
    assert first.text.count('<a class="line pic"') == 50
    assert 'rel="prev"' not in first.text and 'rel="next"' not in last.text
    shown = [re.findall(r"I-\d+", page.text) for page in (first, second)]
    assert not set(shown[0]) & set(shown[1])


def test_a_search_keeps_its_words_from_page_to_page(client, register):
    page = client.get(register, {"q": "maker 99", "page": "2"})

    text = html.unescape(page.text)
    count = sum("99" in f"{n:04d}" for n in range(1, MANY + 1))
    assert f"51 to 100 of {count}" in text
    assert "?q=maker%2099&page=3" in text


def test_an_odd_page_shows_the_nearest(client, register):
    assert "1 to 50 of 10001" in client.get(register, {"page": "first"}).text
    assert "10001 to 10001" in client.get(register, {"page": "99999"}).text


def test_a_register_of_ten_thousand_takes_as_many_queries_as_one_of_sixty(client, helene, owner):
    client.force_login(helene)
    address = reverse("instruments:list")
    fill_register(owner, 60)
    few = queries_of(client, address, q="maker")

    fill_register(owner, 1440, first=61)

    assert queries_of(client, address, q="maker") == few


@pytest.fixture
def many_parts(client, helene, owner):
    client.force_login(helene)
    instrument = factories.instrument(owner, by=helene)
    known = instrument.parts.count()
    Part.objects.bulk_create(
        Part(instrument=instrument, key=f"own_{n}", own_label=f"Inlay {n}", position=known + n)
        for n in range(PARTS - known)
    )
    return instrument


def test_a_table_of_five_hundred_parts_takes_as_many_queries_as_one_of_sixty(
    client, many_parts, helene, owner
):
    few = factories.instrument(owner, by=helene)
    for name in ("instruments:parts", "instruments:detail"):
        small = queries_of(client, reverse(name, args=[few.number]))

        assert queries_of(client, reverse(name, args=[many_parts.number])) == small


def test_five_hundred_parts_are_described_at_once(client, many_parts):
    parts = list(many_parts.parts.all())
    said = {"form-TOTAL_FORMS": str(PARTS), "form-INITIAL_FORMS": str(PARTS)}
    for place, part in enumerate(parts):
        said |= {
            f"form-{place}-id": str(part.pk),
            f"form-{place}-material": "maple" if place == PARTS - 1 else "",
            f"form-{place}-material_note": "",
            f"form-{place}-originality": part.originality,
        }

    with CaptureQueriesContext(connection) as captured:
        answer = client.post(reverse("instruments:parts", args=[many_parts.number]), said)

    assert answer.status_code == 302
    assert many_parts.parts.get(pk=parts[-1].pk).material == "maple"
    assert len(captured) < 40


def test_usual_materials_of_many_parts_are_taken_over_in_a_handful_of_queries(client, many_parts):
    with CaptureQueriesContext(connection) as captured:
        client.post(reverse("instruments:usual", args=[many_parts.number]))

    assert many_parts.parts.exclude(material="").count() > 10
    assert len(captured) < 25
