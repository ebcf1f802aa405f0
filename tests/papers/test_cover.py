"""How the first table is parted beside the photo."""

from __future__ import annotations

from repairs.papers.blocks.cover import rows_beside
from repairs.papers.blocks.document import PhotoBlock, Row


def photo(width: int, height: int) -> PhotoBlock:
    return PhotoBlock(
        number=1,
        picture="p.jpg",
        width=width,
        height=height,
        caption="",
        alt="",
        phase="after",
        taken_at="",
        sha256="",
        marks=(),
        findings=(),
    )


def rows(*values: str) -> list[Row]:
    return [Row(key=str(at), label="", value=value) for at, value in enumerate(values)]


def test_without_a_photo_every_row_takes_the_whole_width():
    assert rows_beside(rows("short", "short"), None) == 0


def test_a_tall_photo_has_more_rows_beside_it_than_a_wide_one():
    ten = rows(*["one line"] * 20)

    wide, tall = rows_beside(ten, photo(1600, 1000)), rows_beside(ten, photo(1000, 1600))

    assert 0 < wide < tall < 20


def test_a_long_row_fills_the_room_alone():
    assert rows_beside(rows("word " * 200, "next"), photo(1600, 1000)) == 1


def test_few_rows_all_stand_beside_the_photo():
    assert rows_beside(rows("one", "two"), photo(1000, 1600)) == 2
