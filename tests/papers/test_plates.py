"""How photos lie in a report: whole views on the map, pieces of them beside the findings."""

from __future__ import annotations

import dataclasses
import io
import re

import pypdf
import pytest

from repairs.language.text import number_runs
from repairs.measures.content import Picture, report, sheet
from repairs.papers.blocks.document import FindingBlock, PhotoBlock
from repairs.papers.blocks.plate import HALF_MM, PAGE_MM
from repairs.papers.blocks.plates import finding_plates, maps
from repairs.photos.overlay import Mark
from repairs.press.render import render, to_html
from repairs.storage import files as store
from tests import factories

BODY = report((Picture(name="a.jpg", width=1344, height=1008, sha256="a" * 64),))


def view(number: int, name: str, *marks: tuple[int, float]) -> PhotoBlock:
    """A photo of that view; of each mark its number, and how far from the left it lies."""
    drawn = tuple(Mark(number=n, shape="point", points=((x, 0.5),)) for n, x in marks)
    return dataclasses.replace(BODY.photos[0], number=number, view=name, marks=drawn)


def found(number: int, *photos: int) -> FindingBlock:
    return dataclasses.replace(BODY.findings[0], number=number, photos=photos)


def test_a_map_shows_the_whole_view_and_the_richest_is_the_large_one():
    few, rich = view(1, "front", (1, 0.5)), view(2, "back", (2, 0.1), (3, 0.9))

    large, small = maps([few, rich])

    assert (large.photo, small.photo) == (rich, few)
    assert not large.is_piece and not small.is_piece
    assert large.width_mm > small.width_mm
    assert large.width_mm + small.width_mm < PAGE_MM


def test_two_views_beside_the_large_one_are_together_no_taller_than_it():
    views = [view(1, "front", (1, 0.1), (2, 0.2)), view(2, "back", (3, 0.5))]

    large, *others = maps([*views, view(3, "left_side", (4, 0.5))])

    assert sum(plate.height_mm for plate in others) < large.height_mm


def test_four_views_are_of_one_size():
    names = ("front", "back", "left_side", "right_side")

    plates = maps([view(n, name, (n, 0.5)) for n, name in enumerate(names, 1)])

    assert len({plate.width_mm for plate in plates}) == 1
    assert plates[0].width_mm <= HALF_MM


def test_findings_that_lie_together_on_a_map_share_a_piece_of_it():
    photo = view(1, "front", (1, 0.1), (2, 0.25), (3, 0.95))

    plates = finding_plates([found(1, 1), found(2, 1), found(3, 1)], [photo])

    assert [[one.number for one in plate.findings] for plate in plates] == [[1, 2], [3]]
    assert all(plate.is_piece for plate in plates)


def test_a_finding_without_a_photo_stands_by_itself():
    (plate,) = finding_plates([found(1)], [])

    assert plate.photo is None and [one.number for one in plate.findings] == [1]


@pytest.mark.parametrize(
    ("numbers", "said"),
    [([], ""), ([3], "3"), ([2, 1], "1, 2"), ([1, 2, 3, 5], "1–3, 5"), ([4, 6, 7, 8], "4, 6–8")],
)
def test_three_numbers_in_a_row_are_said_as_one(numbers, said):
    assert number_runs(numbers) == said


@pytest.mark.real_press
def test_no_picture_is_lost_where_a_block_moves_to_the_next_page(own_store):
    """The page maker loses a picture that is placed absolutely inside a float."""
    names = []
    for number in range(14):
        name = store.name_for("derived", f"{number:064x}", "-1344.jpg")
        target = store.path_of(name)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(factories.jpeg(400, 300, seed=number))
        names.append(Picture(name=name, width=400, height=300, sha256=f"{number:064x}"))
    made = sheet(tuple(names))

    pages = pypdf.PdfReader(io.BytesIO(render(made)[0])).pages

    written = [page.get_contents() for page in pages]
    drawn = sum(
        len(re.findall(rb"/i\w+ Do\b", one.get_data())) for one in written if one is not None
    )
    assert drawn == to_html(made).count("<img ") > len(made.body.photos)
