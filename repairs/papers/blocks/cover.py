"""How many rows of the first table stand beside the photo; the others take the whole width.

The page maker does not let a table flow round a picture, so the table is parted before it is laid
out. The measures are those of `.cover` in paper.css; a row more or less beside the photo is no
fault, it only leaves a little white.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from repairs.papers.blocks.document import PhotoBlock, Row

PHOTO_MM, TALLEST_MM = 62, 84
CAPTION_MM = 12
LINE_MM, AROUND_ROW_MM = 5.3, 2.4
LINE_CHARACTERS = 40


def rows_beside(rows: Sequence[Row], photo: PhotoBlock | None) -> int:
    """How many of the rows fill the height of the photo; none where there is no photo."""
    if photo is None:
        return 0
    room_mm = min(TALLEST_MM, PHOTO_MM * photo.height / photo.width) + CAPTION_MM
    filled_mm = 0.0
    for count, row in enumerate(rows):
        if filled_mm >= room_mm:
            return count
        filled_mm += AROUND_ROW_MM + LINE_MM * _lines(row.value)
    return len(rows)


def _lines(words: str) -> int:
    return sum(max(1, ceil(len(line) / LINE_CHARACTERS)) for line in words.split("\n"))
