"""Plates in two columns that fill a page, each column read from its top to its foot."""

from __future__ import annotations

from collections.abc import Iterable

from repairs.papers.blocks.plate import BLOCK_MM, Plate


def in_columns(found: Iterable[Plate]) -> tuple[tuple[tuple[Plate, ...], ...], ...]:
    """Plates in blocks of two columns, each about a page tall; a long one alone.

    Down the left column, then down the right one. Two photos side by side would leave white under
    the shorter text.
    """
    blocks: list[list[list[Plate]]] = []
    filled_mm = 0.0
    for plate in found:
        fits = filled_mm + plate.about_mm <= BLOCK_MM
        last = blocks[-1] if blocks else []
        if plate.is_long or not last or last[-1][-1].is_long or (len(last) == 2 and not fits):
            blocks.append([[plate]])
        elif fits:
            last[-1].append(plate)
            filled_mm += plate.about_mm
            continue
        else:
            last.append([plate])
        filled_mm = plate.about_mm
    if blocks and not blocks[-1][0][0].is_long:
        blocks[-1] = _balanced([plate for column in blocks[-1] for plate in column])
    return tuple(tuple(tuple(column) for column in block) for block in blocks)


def _balanced(found: list[Plate]) -> list[list[Plate]]:
    """The plates of the last block in two columns of about the same height."""
    heights = [plate.about_mm for plate in found]
    cuts = range(1, len(found) + 1)
    cut = min(cuts, key=lambda at: max(sum(heights[:at]), sum(heights[at:])))
    return [column for column in (found[:cut], found[cut:]) if column]
