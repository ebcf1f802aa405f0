"""One box finds a case, an instrument, an owner, a finding or a paper by any of their words."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from repairs.bench.search import MOST, find
from repairs.press.models import Paper
from tests import factories

LABEL = "fait par moy Estienne Roussillat, luthier à Valbrune"


@pytest.fixture
def known(owner, helene, armand):
    """A case with something to find in every room."""
    owner.name = "Hélène Œuvrard-Bézian"
    owner.save()
    instrument = factories.instrument(
        owner, by=helene, label_text=LABEL, name="La Fauvette", serial="VB-77"
    )
    case = factories.case(instrument, by=armand, owner_words="It rattles like a cricket.")
    factories.finding(case, by=armand, note="Old glue glows under the lamp", location="neck heel")
    return case


@pytest.fixture
def paper(known, helene):
    return Paper.objects.create(
        kind="intake_receipt",
        subject=known.log_key,
        title="Intake receipt",
        language="en",
        version=1,
        code="ABCD-EFGH-JKMN",
        sha256="0" * 64,
        file_name="papers/none.pdf",
        size_bytes=1,
        pages=1,
        data={},
        renderer="none",
        issued_at=dt.datetime(2026, 11, 20, tzinfo=dt.UTC),
        issued_by=helene,
    )


@pytest.mark.parametrize(
    "words",
    [
        "2026-001",
        "helene",
        "BEZIAN",
        "œuvrard helene",
        "etienne roussillat",
        "Roussillat",
        "valbrune",
        "moy Estienne",
        "fauvette",
        "VB-77",
        "I-0001",
        "i-0001",
        "cricket",
        "soundboard crack",
    ],
)
def test_a_case_is_found_by_number_owner_maker_label_or_words(known, words):
    assert find(words).cases == [known]


@pytest.mark.parametrize(
    "words", ["helene", "roussillat", "moy", "fauvette", "vb 77", "i-0001", "  roussillat  "]
)
def test_an_instrument_is_found_by_its_own_words(known, words):
    assert find(words).instruments == [known.instrument]


def test_a_client_is_found_without_accents(known):
    assert find("helene bezian").clients == [known.owner]


@pytest.mark.parametrize("words", ["glows", "GLUE lamp", "neck heel", "heel glue"])
def test_a_finding_is_found_by_its_note_and_its_place(known, words):
    assert [finding.number for finding in find(words).findings] == [1]


def test_a_withdrawn_finding_is_not_found(known):
    known.findings.update(withdrawn_at=dt.datetime(2026, 11, 24, tzinfo=dt.UTC))

    assert find("glows").findings == []


@pytest.mark.parametrize("code", ["ABCD-EFGH-JKMN", "abcd efgh jkmn", "abcdefghjkmn"])
def test_a_paper_is_found_by_its_printed_code(paper, code):
    assert find(code).papers == [paper]


@pytest.mark.parametrize(
    "words",
    [
        "",
        "   ",
        "!!!",
        "%",
        "_",
        "\0",
        "roussillat lyon",
        "nothing of the kind",
        "🎻",
        "' OR 1=1 --",
    ],
)
def test_what_is_nowhere_is_not_found(known, words):
    assert find(words).is_empty


def test_all_the_words_must_be_there(known):
    assert find("roussillat 2026-001").cases == [known]
    assert find("roussillat 2026-002").cases == []


def test_at_most_twenty_of_each_are_shown(vielle, armand):
    for _number in range(MOST + 2):
        factories.case(vielle, by=armand)

    assert len(find("roussillat").cases) == MOST


def test_the_page_shows_what_was_found_in_every_room(client, tom, known, paper):
    client.force_login(tom)

    page = client.get(reverse("bench:search"), {"q": "roussillat"}).text
    of_finding = client.get(reverse("bench:search"), {"q": "glows"}).text
    of_paper = client.get(reverse("bench:search"), {"q": paper.code}).text

    assert known.get_absolute_url() in page
    assert known.instrument.get_absolute_url() in page
    assert f"{known.get_absolute_url()}#finding-1" in of_finding
    assert reverse("papers:detail", args=[paper.uuid]) in of_paper


def test_the_page_says_when_nothing_was_found(client, tom):
    client.force_login(tom)

    page = client.get(reverse("bench:search"), {"q": "<i>Zéphyrine"}).text

    assert "Nothing is found." in page
    assert "&lt;i&gt;Zéphyrine" in page


def test_an_invoice_is_found_by_its_number_by_those_who_may_see_money(client, odile, tom, helene):
    factories.billing_house()
    payer = factories.payer(by=helene)
    invoice = factories.issued(factories.draft(payer, by=helene), by=helene)
    pages = []
    for person in (odile, tom):
        client.force_login(person)
        pages.append(client.get(reverse("bench:search"), {"q": invoice.number}).text)

    assert invoice.get_absolute_url() in pages[0]
    assert invoice.get_absolute_url() not in pages[1]
