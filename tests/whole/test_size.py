"""Much of everything: pages answer, ask the database as often as for little, and stay readable."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from repairs.audit.actions import deed, record
from repairs.bench.board import board
from repairs.bench.docket import docket
from repairs.cases.custody_models import CaseSeries
from repairs.cases.models import Case
from repairs.findings.models import Finding, FindingTag
from repairs.instruments.models import Instrument, InstrumentSeries
from repairs.papers.blocks.pictures import finding_blocks, findings_of, photos_of, unbound_tags
from repairs.people.models import Client
from repairs.photos.models import Original, Photo, Tag
from tests import factories

AT = dt.datetime(2026, 11, 24, 10, 0, tzinfo=dt.UTC)
CASE_LINE = '<a class="line pic" href="/cases/'
TAGS, PHOTOS, CASES = 1500, 400, 1500


def crowd(case: Case, by, *, photos: int = PHOTOS, tags: int = TAGS) -> None:
    """Many photos, and a tag with a finding of its own for each place on them."""
    part = case.instrument.parts.get(key="soundboard")
    shot_before, found_before = case.photos.count(), case.findings.count()
    sizes = {"size_bytes": 1, "format": "JPEG", "width": 400, "height": 300, "kept_at": AT}
    originals = Original.objects.bulk_create(
        Original(sha256=f"{shot_before + n:064d}", file_name=f"originals/{n}.jpg", **sizes)
        for n in range(photos)
    )
    shot = Photo.objects.bulk_create(
        Photo(
            case=case,
            number=n,
            original=original,
            state=Photo.State.READY,
            sent_name=f"IMG_{n}.jpg",
            sent_at=AT,
            sent_by=by,
        )
        for n, original in enumerate(originals, shot_before + 1)
    )
    said = {"term": "crack", "severity": 2, "urgency": 2, "changed_by": by, "changed_at": AT}
    found = Finding.objects.bulk_create(
        Finding(case=case, part=part, number=found_before + n, **said) for n in range(1, tags + 1)
    )
    drawn = Tag.objects.bulk_create(
        Tag(photo=shot[n % photos], shape="point", points=[[0.5, 0.5]], drawn_by=by, drawn_at=AT)
        for n in range(tags)
    )
    FindingTag.objects.bulk_create(
        FindingTag(tag=tag, finding=finding) for tag, finding in zip(drawn, found, strict=True)
    )


def many_instruments(owner: Client, first: int, last: int) -> list[Instrument]:
    """Instruments of those shop numbers, as the series gives them."""
    rows = Instrument.objects.bulk_create(
        Instrument(owner=owner, number=f"I-{n:04d}", sequence=n, kind="violin", created_at=AT)
        for n in range(first, last + 1)
    )
    InstrumentSeries.objects.update_or_create(pk=1, defaults={"last": last})
    return rows


def many_cases(like: Case, last: int, first: int = 2) -> None:
    """Open cases of the year up to that number, each of a client and an instrument of its own."""
    clients = Client.objects.bulk_create(
        Client(name=f"Owner {n}", folded_name=f"owner {n}", created_at=AT)
        for n in range(first, last + 1)
    )
    instruments = many_instruments(like.owner, first, last)
    Case.objects.bulk_create(
        Case(
            number=f"2026-{n:03d}",
            year=2026,
            sequence=n,
            instrument=instrument,
            owner=owner,
            reason="repair",
            owner_words=f"It growls, says number {n}.",
            folded_words="it growls",
            received_at=AT,
            received_by=like.received_by,
            place="Shelf",
        )
        for n, (owner, instrument) in enumerate(zip(clients, instruments, strict=True), first)
    )
    CaseSeries.objects.update_or_create(year=2026, defaults={"last": last})


@pytest.fixture
def opened(client, armand, house):
    """Open a page as a luthier; its words, and how many queries it took."""
    client.force_login(armand)

    def open_page(address: str, **words: str) -> tuple[str, int]:
        with CaptureQueriesContext(connection) as queries:
            answer = client.get(address, words)
        assert answer.status_code == 200
        return answer.text, len(queries)

    return open_page


def figures_of_rooms(page: str) -> dict[str, str]:
    """The one figure of each room of a case, by the room's name."""
    rooms = page.split('<details class="room"')[1:]
    marks = (r'<span class="name">(.*?)</span>', r'<span class="fig">(.*?)</span>')
    found = [[re.search(mark, room, re.DOTALL) for mark in marks] for room in rooms]
    return {name[1].strip(): figure[1].strip() for name, figure in found if name and figure}


def test_a_case_of_1500_tags_and_400_photos_is_shown_as_one_of_few(case, armand, opened):
    crowd(case, armand, photos=2, tags=3)
    _page, few = opened(case.get_absolute_url())
    crowd(case, armand)

    page, many = opened(case.get_absolute_url())

    assert many == few <= 50
    assert figures_of_rooms(page)["Photos"] == "402"
    assert figures_of_rooms(page)["Findings"] == "1503"
    assert page.count('<li id="finding-') == 60
    assert "Show 1443 more" in page
    assert "Show 342 more" in page


@pytest.mark.parametrize(
    ("whole", "row", "count"),
    [("findings", '<li id="finding-', TAGS), ("photos", 'class="frame"', PHOTOS)],
)
def test_a_list_is_shown_to_its_end_when_that_is_asked(case, armand, opened, whole, row, count):
    crowd(case, armand)

    page, _queries = opened(case.get_absolute_url(), whole=whole)

    assert page.count(row) == count


def test_the_marks_of_a_photo_among_many_bear_the_numbers_of_their_findings(case, armand, opened):
    crowd(case, armand)

    first = docket(case)["photos"].rows[0]

    assert first.photo.number == 1
    assert {int(one) for one in re.findall(r">(\d+)</text>", first.marks)} == {1, 401, 801, 1201}


def test_a_report_of_1500_tags_has_each_finding_with_its_photo(case, armand):
    crowd(case, armand)

    photos = photos_of(case)
    blocks = finding_blocks(findings_of(case), photos)

    assert len(blocks) == TAGS
    assert all(len(block.photos) == 1 for block in blocks.values())
    assert unbound_tags(case) == 0


def test_the_bench_of_1500_cases_shows_the_first_and_says_how_many_more(case, opened):
    Case.objects.update(promised_on=None)
    _page, few = opened(reverse("bench:home"))
    many_cases(case, CASES)

    page, many = opened(reverse("bench:home"))

    assert many == few <= 7
    assert page.count(CASE_LINE) == 60
    assert "Show 1440 more" in page
    assert '<span class="fig">1500</span>' in page


def test_a_heap_of_the_bench_is_shown_to_its_end_when_that_is_asked(case, opened):
    many_cases(case, CASES)

    page, _queries = opened(reverse("bench:home"), whole="look")

    assert page.count(CASE_LINE) == CASES


@pytest.mark.parametrize("words", ["growls", "2026-1", "owner", "I-0"])
def test_the_search_of_1500_cases_and_clients_asks_as_of_few(case, opened, words):
    many_cases(case, 3)
    _page, few = opened(reverse("bench:search"), q=words)
    many_cases(case, CASES, first=4)

    page, many = opened(reverse("bench:search"), q=words)

    assert many == few <= 10
    assert len(re.findall(r'<a class="line[" ]', page)) in (20, 40, 60)


@pytest.mark.parametrize("name", ["instruments:list", "people:clients", "cases:choose"])
def test_a_list_of_1500_asks_as_of_few(case, opened, name):
    _page, few = opened(reverse(name))
    many_cases(case, CASES)

    _page, many = opened(reverse(name))

    assert many == few <= 10


def test_the_page_of_a_client_of_1500_instruments_and_cases_asks_as_of_few(case, opened):
    address = reverse("people:client", args=[case.owner_id])
    opened(address)  # the first look of an hour is said in the log
    _page, few = opened(address)
    many_cases(case, CASES)
    Case.objects.update(owner=case.owner)

    page, many = opened(address)

    assert many == few <= 11
    assert "2026-1500" in page


def test_the_log_of_a_case_of_1500_lines_shows_the_newest(case, armand, opened):
    _page, few = opened(case.get_absolute_url())
    with deed():
        for number in range(TAGS):
            record(armand, "photo.described", case, at=AT, photo=number)

    page, many = opened(case.get_absolute_url())

    assert many == few
    assert "described photo 1499" in page
    assert "described photo 1000" not in page


def test_the_case_after_999_and_the_instrument_after_9999_come_first(case, armand, opened):
    many_cases(case, 999)
    many_instruments(case.owner, 1000, 9999)
    newest = factories.instrument(case.owner, by=armand)
    later = factories.instrument(case.owner, by=armand)
    cases = [factories.case(one, by=armand) for one in (newest, later)]

    assert [one.number for one in (newest, later)] == ["I-10000", "I-10001"]
    assert [one.number for one in cases] == ["2026-1000", "2026-1001"]
    assert numbers(Case)[:3] == ["2026-1001", "2026-1000", "2026-999"]
    assert numbers(Instrument)[:3] == ["I-10001", "I-10000", "I-9999"]
    for place in (reverse("instruments:list"), reverse("bench:search") + "?q=I-"):
        page, _queries = opened(place)
        assert re.findall(r'<a class="line pic" href="/instruments/(I-\d+)/', page)[:3] == [
            "I-10001",
            "I-10000",
            "I-9999",
        ]
    page, _queries = opened(reverse("bench:search"), q="2026")
    found = re.findall(r'<a class="line pic" href="/cases/(2026-\d+)/', page)
    assert found[:3] == ["2026-1001", "2026-1000", "2026-999"]


def test_the_case_of_a_new_year_comes_before_the_thousandth_of_the_last(case, armand):
    many_cases(case, 1001)
    newest = factories.case(case.instrument, by=armand, received_at=AT.replace(year=2027))

    assert numbers(Case)[:2] == ["2027-001", "2026-1001"]
    assert newest.number == "2027-001"


def test_of_cases_promised_for_one_day_the_earlier_number_lies_on_top(case, armand):
    many_cases(case, 1001)
    Case.objects.update(promised_on=None)

    heap = next(column for column in board(dt.date(2026, 11, 25)) if column.key == "look")

    assert [one.number for one in heap.cases][-3:] == ["2026-999", "2026-1000", "2026-1001"]


def numbers(model: Any) -> list[str]:
    return list(model.objects.values_list("number", flat=True))
