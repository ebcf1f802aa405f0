"""A piece of wood as the screens show it: its line in a list, its tests, the mass of the rest."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from repairs.wood.actions import ended_cases
from repairs.wood.gauging import Figure, figures, mass_left_g, notes
from repairs.wood.models import Piece, Withdrawal
from repairs.wood.tested_models import WoodTest


@dataclass(frozen=True)
class Line:
    """A piece in a list, with its density where it was tested."""

    piece: Piece
    density: Figure | None


def lines(pieces: Iterable[Piece]) -> list[Line]:
    """Wants pieces with their tests fetched along."""
    shown = []
    for piece in pieces:
        newest = next(iter(piece.tests.all()), None)
        shown.append(Line(piece, figures(newest)[0] if newest else None))
    return shown


@dataclass(frozen=True)
class Went:
    """A withdrawal in the list of a piece, and whether its case has ended."""

    withdrawal: Withdrawal
    is_of_ended_case: bool

    @property
    def may_come_back(self) -> bool:
        """Whether the wood can be put back: not while it is in an instrument."""
        row = self.withdrawal
        is_out = row.returned_at is None and row.standing_part is None
        return is_out and not self.is_of_ended_case


def went(piece: Piece) -> list[Went]:
    """Where the parts of a piece went, each with whether it can come back."""
    rows = list(
        piece.withdrawals.select_related("by", "returned_by", "new_part__intervention__case")
    )
    ended = ended_cases(rows)
    return [Went(row, row.subject in ended) for row in rows]


@dataclass(frozen=True)
class ShownTest:
    """A test with its figures and what they leave in doubt."""

    test: WoodTest
    figures: list[Figure]
    notes: list[str]


def shown_tests(piece: Piece) -> list[ShownTest]:
    """All tests, newest first."""
    rows = piece.tests.select_related("by")
    return [ShownTest(test, figures(test), notes(test)) for test in rows]


def mass_left(piece: Piece, tests: list[ShownTest]) -> float | None:
    """What the rest of a tested piece may weigh, in grams."""
    return mass_left_g(tests[0].test, piece.left_cm3) if tests else None
