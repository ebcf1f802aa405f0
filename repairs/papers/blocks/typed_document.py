"""What was typed for the readings as frozen data: letter by letter, by row.

A row of the sheet stands as a column here: two dozen readings of a dial are then four lines, not
half a page.
"""

from __future__ import annotations

from dataclasses import dataclass

# How many rows of the sheet stand side by side, by the length of the longest word in them.
ABREAST = ((7, 12), (12, 8), (24, 4))
FEWEST_ABREAST = 2


@dataclass(frozen=True, kw_only=True)
class TypedLine:
    """One cell with what was typed into it; of a column, what was typed in each row."""

    key: str
    label: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class Band:
    """Some rows of the sheet, side by side: their numbers, then each column across them."""

    numbers: tuple[str, ...]
    lines: tuple[TypedLine, ...]


@dataclass(frozen=True, kw_only=True)
class TypedBlock:
    """All that was typed; cells and columns that were left empty are left out.

    ``numbers`` are those of the rows, counted from 1 with the empty ones.
    """

    cells: tuple[TypedLine, ...]
    numbers: tuple[int, ...]
    columns: tuple[TypedLine, ...]

    @property
    def bands(self) -> tuple[Band, ...]:
        """The rows in as many bands as the paper's width asks for, the last one filled up."""
        said = (word for line in self.columns for words in line.words for word in words.split())
        longest = max(map(len, said), default=0)
        abreast = next((count for most, count in ABREAST if longest <= most), FEWEST_ABREAST)
        starts = range(0, len(self.numbers), abreast)
        return tuple(self._band(start, abreast, fill=len(starts) > 1) for start in starts)

    def _band(self, start: int, abreast: int, *, fill: bool) -> Band:
        numbers = [str(number) for number in self.numbers[start : start + abreast]]
        empty = ("",) * (abreast - len(numbers)) if fill else ()
        lines = tuple(
            TypedLine(
                key=line.key,
                label=line.label,
                words=(*line.words[start : start + abreast], *empty),
            )
            for line in self.columns
        )
        return Band((*numbers, *empty), lines)


@dataclass(frozen=True, kw_only=True)
class AnnexBlock:
    """One reading in the annex of a report: which it is, and all that was typed for it."""

    number: int
    title: str
    subject: str
    phase: str
    typed: TypedBlock
