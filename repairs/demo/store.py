"""Fills the wood store: pieces with their papers or without, tests, an offcut."""

from __future__ import annotations

from decimal import Decimal

from repairs.demo.cast import Cast, Row, day, moment, with_decimals
from repairs.wood import actions as wood_actions
from repairs.wood.models import Piece
from repairs.wood.tested_models import WoodTest

SIZES = ("length_mm", "width_mm", "thickness_mm")
DAYS = ("acquired_on", "permit_issued_on", "permit_expires_on")


def fill_store(cast: Cast, rows: list[Row]) -> None:
    """Enter the pieces that are missing; the store gives their numbers in this order."""
    known = Piece.objects.count()
    for row in rows[known:]:
        _piece(cast, row)
    if rows[known:]:
        cast.say(f"{len(rows)} pieces in the wood store")


def _piece(cast: Cast, row: Row) -> None:
    by, at = cast.people["armand"], moment(row["at"])
    said = with_decimals(row["piece"], *SIZES)
    for name in DAYS:
        if name in said:
            said[name] = day(said[name])
    if "parent" in row:
        parent = Piece.objects.get(number=row["parent"])
        wood_actions.make_offcut(Piece(parent=parent, **said), by=by, at=at)
        return
    piece = wood_actions.enter_piece(Piece(**said), by=by, at=at)
    for test in row.get("tests", []):
        measured = {
            key: day(value) if key == "taken_on" else Decimal(value) for key, value in test.items()
        }
        wood_actions.test_piece(WoodTest(piece=piece, **measured), by=by, at=at)
