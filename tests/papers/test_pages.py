"""How many pages a report takes, how they end, and that nothing is lost on the way."""

from __future__ import annotations

import dataclasses
import io
import re
from collections.abc import Iterator
from typing import Any

import pypdf
import pytest
import tinyhtml5

from repairs.cases.models import Case
from repairs.demo.scenario import Scenario
from repairs.measures.content import Picture, sheet
from repairs.papers.blocks.document import ConditionReport, Row
from repairs.papers.kinds import compile_paper
from repairs.press import contents
from repairs.press.document import Sheet
from repairs.press.render import render, to_html
from repairs.storage import files as store
from tests import factories, pressing
from tests.papers.conftest import NOW

FEW, FEW_PAGES = 14, 8
MANY, MANY_PAGES = 40, 18
CROWD = 400
SMALL_PX = 320
JOINED = {"answer": ("maker",)}  # maker, place and date, which the identity tells one by one


class FirstHalf(Scenario):
    """The demo up to the look over of its first instrument, without its papers."""

    def play(self) -> list[Case]:
        self._open_house()
        clients = {row["key"]: self._client(row) for row in self.data["clients"]}
        first = self.data["cases"][0] | {"report": []}
        return [self._stay(first, clients)]

    def _receipt(self, *_given: Any) -> None:
        """Not needed here."""

    def _second_half(self, *_given: Any) -> None:
        """Not needed here."""


def plain(text: str) -> str:
    """Without the spaces of typography and the hyphens of the layout."""
    return re.sub(r"\s+", " ", text.replace("\u00a0", " ").replace("\u202f", " ")).strip()


def words_of(printed: Sheet) -> str:
    root = tinyhtml5.parse(to_html(printed), namespace_html_elements=False)
    return plain(" ".join(pressing.lines(root))).casefold()


def pages_of(printed: Sheet) -> list[str]:
    pages = pypdf.PdfReader(io.BytesIO(render(printed)[0])).pages
    return [page.extract_text() for page in pages]


def headings(printed: Sheet) -> set[str]:
    root = tinyhtml5.parse(to_html(printed), namespace_html_elements=False)
    return {plain("".join(one.itertext())) for one in root.iter() if one.tag in ("h2", "h3")}


def facts(body: ConditionReport) -> Iterator[str]:
    """Every word of the report that somebody recorded."""
    for field in dataclasses.fields(body):
        value = getattr(body, field.name)
        if isinstance(value, tuple) and value and isinstance(value[0], Row):
            rows = [row for row in value if row.key not in JOINED.get(field.name, ())]
            yield from (said for row in rows for said in (row.label, *row.value.splitlines()))
    yield from body.parts_looked_at
    for row in (*body.parts_not_examined, *body.protected, *body.sizes, *body.leaves):
        yield from (said.rstrip(".") for said in row)
    yield from (*(one.label for one in body.hazards), *(one.caution for one in body.hazards))
    yield from (body.hazards_note, body.restrictions, body.examiner, body.owner_words)
    yield from (body.leave_decided_by, *body.outside, *body.label_text.splitlines())


def seen_facts(body: ConditionReport) -> Iterator[str]:
    """Every word of its findings, photos, readings and parts."""
    for one in body.findings:
        yield from (one.term, one.part, one.definition, one.location, one.extent, one.note)
        yield from (one.severity_label, one.stability, one.age, one.urgency, one.cause)
    for photo in body.photos:
        yield from (photo.caption.rstrip("."), photo.taken_at)
    for reading in body.readings:
        yield from (reading.title, reading.subject, reading.phase, reading.taken, reading.tool)
        yield from (reading.room, reading.not_permitted, reading.note)
        yield from (*reading.warnings, *reading.advice)
        for figure in reading.figures:
            yield from (figure.label, figure.value, figure.limit, figure.source)
    for part in body.parts:
        if part.material:
            yield from (part.label, part.material, part.material_note, part.originality)


@pytest.mark.real_press
@pytest.mark.share(2, 1)
@pytest.mark.parametrize("language", ["en", "fr"])
def test_a_report_of_14_photos_takes_8_pages_and_loses_nothing(db, language):
    (case,) = FirstHalf(
        password="un-mot-long-1771", say=lambda _words: None, long_side_px=SMALL_PX
    ).play()
    made = compile_paper("condition_report", case, language=language, made_at=NOW)
    assert len(made.body.photos) == FEW
    assert len(made.body.readings) > 3

    pages, text = pages_of(made), words_of(made)

    assert len(pages) <= FEW_PAGES
    assert [
        fact
        for fact in (*facts(made.body), *seen_facts(made.body))
        if plain(fact).casefold() not in text
    ] == []
    heads = headings(made)
    for page in pages:
        lines = [plain(line) for line in page.splitlines() if line.strip()]
        assert len(lines) > 10  # no page is as good as empty
        assert not {line for line in lines[-3:] if line in heads}


@pytest.fixture
def pictures(own_store) -> tuple[Picture, ...]:
    """One small picture, as often as a report has photos."""
    data = factories.jpeg(400, 300)
    name = store.name_for("derived", "a" * 64, "-2016.jpg")
    target = store.path_of(name)
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(data)
    return tuple(Picture(name=name, width=400, height=300, sha256="a" * 64) for _ in range(CROWD))


@pytest.mark.real_press
def test_a_report_of_40_photos_takes_at_most_18_pages(pictures):
    assert len(pages_of(sheet(pictures[:MANY]))) <= MANY_PAGES


@pytest.mark.real_press
@pytest.mark.parametrize("count", [4, FEW, MANY])
def test_the_length_of_a_report_is_guessed_right_so_that_it_is_laid_out_once(pictures, count):
    made = sheet(pictures[:count])

    assert contents.seems_long(to_html(made)) is (len(pages_of(made)) >= contents.FROM_PAGES)


@pytest.mark.parametrize("count", [0, CROWD])
def test_every_photo_stands_in_the_report_at_least_once(pictures, count):
    html = to_html(sheet(pictures[:count]))

    shown = {int(number) for number in re.findall(r"Photo (\d+)", html)}
    assert set(range(1, count + 1)) <= shown


@pytest.mark.real_press
@pytest.mark.share(2)
@pytest.mark.parametrize("count", [0, CROWD])
def test_a_report_without_photos_and_one_of_400_are_printed(pictures, count):
    pages = pages_of(sheet(pictures[:count]))

    assert all(len(plain(page)) > 240 for page in pages)  # head and foot have half of it
    assert len(pages) <= (FEW_PAGES if count == 0 else 2 * MANY_PAGES)
    assert {int(number) for number in re.findall(r"Photo (\d+)", " ".join(pages))} == set(
        range(1, count + 1)
    )


@pytest.mark.real_press
def test_a_house_of_which_only_the_name_is_known_heads_its_papers(pictures):
    made = sheet(pictures[:4])
    bare = dataclasses.replace(
        made.house, trade="", address=(), email="", phone="", registration=""
    )

    first = plain(pages_of(dataclasses.replace(made, house=bare))[0])

    assert made.house.name in first
    assert "· ·" not in first and not first.startswith("·")


@pytest.mark.real_press
def test_a_finding_of_5000_words_is_printed_whole(pictures):
    made = sheet(pictures[:4])
    first = dataclasses.replace(made.body.findings[0], note="Vermoulure " * 5000)
    body = dataclasses.replace(made.body, findings=(first, *made.body.findings[1:]), worst=(first,))

    text = plain(" ".join(pages_of(dataclasses.replace(made, body=body))))

    assert text.count("Vermoulure") == 5000


@pytest.mark.real_press
def test_long_names_and_names_from_right_to_left_break_no_page(pictures):
    made = sheet(pictures[:4])
    long = "Vielle à roue " * 14 + "עברית"
    house = dataclasses.replace(made.house, name=long, trade="", phone="", email="")
    body = dataclasses.replace(made.body, instrument=long, owner="נגן בגלגל")

    pages = pages_of(dataclasses.replace(made, body=body, house=house))

    assert len(pages) <= FEW_PAGES + 1
    assert plain(pages[0]).count("Vielle à roue") >= 28
