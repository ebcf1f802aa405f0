"""How one finds one's way in a report: links, page labels, contents, words for pictures."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import pypdf
import pytest

from repairs.press.contents import FROM_PAGES
from tests.outside.verapdf import validate
from tests.papers.carrying import BOTH, reports

__all__ = ["reports"]

pytestmark = [pytest.mark.django_db, pytest.mark.real_press]
EVERY = [("condition_report", "fr"), ("treatment_report", "en")]


def reader_of(reports: Any, kind: str, language: str) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(reports[kind, language].pdf))


def links(reader: pypdf.PdfReader) -> Iterator[Any]:
    for page in reader.pages:
        for one in page.get("/Annots", []):
            if one.get_object()["/Subtype"] == "/Link":
                yield one.get_object()


@pytest.fixture(scope="module")
def printed(reports) -> Callable[[str, str], str]:
    """All that is printed, without spaces; it is read once, which takes its time."""
    return cache(lambda kind, language: _words(reader_of(reports, kind, language)))


def _words(reader: pypdf.PdfReader) -> str:
    return said(" ".join(page.extract_text() for page in reader.pages))


def said(words: str) -> str:
    return "".join(words.split()).casefold()


def alternatives(reader: pypdf.PdfReader) -> list[str]:
    found: list[str] = []

    def walk(node: Any) -> None:
        node = node.get_object()
        if isinstance(node, list):
            for child in node:
                walk(child)
        elif isinstance(node, dict):
            if "/Alt" in node:
                found.append(str(node["/Alt"]))
            if "/K" in node:
                walk(node["/K"])

    root: Any = reader.trailer["/Root"]
    walk(root["/StructTreeRoot"])
    return found


@pytest.mark.share(2, 1)
def test_reports_with_all_of_it_are_archival_and_accessible(reports, tmp_path):
    files = []
    for kind, language in EVERY:
        path = tmp_path / f"{kind}.pdf"
        path.write_bytes(reports[kind, language].pdf)
        files.append(path)

    verdict = validate(files)

    assert verdict == {path.name: {"3a": [], "ua1": []} for path in files}


@pytest.mark.parametrize(("kind", "language"), EVERY)
def test_every_link_leads_somewhere(reports, kind, language):
    reader = reader_of(reports, kind, language)
    inside = [one for one in links(reader) if "/Dest" in one]
    outside = [str(one["/A"]["/URI"]) for one in links(reader) if "/A" in one]

    assert {str(one["/Dest"]) for one in inside} <= set(reader.named_destinations)
    assert set(outside) == {reports[kind, language].sheet.seal.verify_address}
    assert all(one["/Contents"] for one in links(reader))


def test_finding_photo_reading_and_annex_are_linked_both_ways(reports):
    reader = reader_of(reports, "condition_report", "fr")

    aims = {tuple(str(one["/Dest"]).split("-")) for one in links(reader) if "/Dest" in one}
    numbers = {kind: {number for one, number in aims if one == kind} for kind, _number in aims}

    assert set(numbers) == {"finding", "photo", "typed", "reading", "section"}
    assert numbers["typed"] == numbers["reading"]
    assert len(numbers["typed"]) > 10


@pytest.mark.parametrize(("kind", "language"), EVERY)
def test_pages_are_labelled_as_their_feet_say(reports, printed, kind, language):
    reader = reader_of(reports, kind, language)
    count = len(reader.pages)

    assert reader.page_labels == [str(number) for number in range(1, count + 1)]
    assert all(f"{label}/{count}" in printed(kind, language) for label in reader.page_labels)


@pytest.mark.parametrize(("kind", "language"), EVERY)
def test_from_eight_pages_on_the_first_ones_list_the_headings(reports, kind, language):
    reader = reader_of(reports, kind, language)
    listed = [str(one["/Dest"]) for one in links(reader) if str(one.get("/Dest")).startswith("sec")]

    assert (len(listed) > 5) is (len(reader.pages) >= FROM_PAGES)


@pytest.mark.parametrize(("kind", "language"), EVERY)
def test_words_for_pictures_do_not_say_the_printed_ones_again(reports, printed, kind, language):
    words = alternatives(reader_of(reports, kind, language))

    assert len(words) > 8
    assert [one for one in words if said(one) in printed(kind, language)] == []


def test_both_kinds_are_looked_at():
    assert {kind for kind, _language in EVERY} == set(BOTH)
