"""What is left of a piece becomes a piece of its own; the parent is closed."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.wood.actions import change_piece, make_offcut, set_used_up
from repairs.wood.models import Piece
from repairs.wood.refusals import NotEnoughWoodError, SmallerThanTakenError
from tests import factories

PAPERS = {
    "material": "rosewood_indian",
    "identified_by": "end grain under the lens",
    "felled_year": 1988,
    "acquired_on": dt.date(1989, 5, 3),
    "acquired_from": "Odon Perrachon",
    "acquisition_proof": "Bill of 3 May 1989",
    "permit_number": "FR-77",
    "permit_issued_on": dt.date(1989, 5, 1),
    "permit_expires_on": dt.date(1989, 11, 1),
}


@pytest.fixture
def board(armand) -> Piece:
    """500 × 200 × 4 mm, of which 200 mm of length were taken: 240 cm³ are left."""
    piece = factories.piece(by=armand, **PAPERS)
    factories.withdrawal(
        piece,
        by=armand,
        length_mm=Decimal("200"),
        width_mm=Decimal("200"),
        thickness_mm=Decimal("4"),
    )
    return piece


def cut(parent: Piece, person, length: str = "290", width: str = "200") -> Piece:
    blank = Piece(
        parent=parent,
        length_mm=Decimal(length),
        width_mm=Decimal(width),
        thickness_mm=Decimal("4"),
    )
    return make_offcut(blank, by=person, at=timezone.now())


def test_an_offcut_has_the_species_and_the_papers_of_its_parent_which_is_closed(board, armand):
    offcut = cut(board, armand)

    parent = Piece.objects.get(pk=board.pk)
    assert {name: getattr(offcut, name) for name in PAPERS} == PAPERS
    assert (offcut.number, offcut.form, offcut.parent) == ("W-0002", "offcut", parent)
    assert offcut.left_cm3 == Decimal("232")
    assert parent.closed_at is not None
    assert (parent.left_cm3, parent.rest_cm3) == (Decimal(0), Decimal(8))
    assert LogEntry.objects.get(verb="wood.offcut_made").details["offcut"] == "W-0002"


def test_an_offcut_is_no_larger_than_what_was_left(board, armand):
    with pytest.raises(NotEnoughWoodError, match="240"):
        cut(board, armand, length="301")

    assert Piece.objects.count() == 1
    assert Piece.objects.get().closed_at is None


def test_a_second_offcut_finds_room_in_what_was_left_or_is_refused(board, armand):
    cut(board, armand, length="150")

    second = cut(board, armand, length="150")

    assert second.number == "W-0003"
    with pytest.raises(NotEnoughWoodError):
        cut(board, armand, length="1", width="1")


def test_a_parent_that_is_opened_again_does_not_give_its_offcuts_twice(board, armand):
    cut(board, armand, length="290")

    set_used_up(board, False, by=armand, at=timezone.now())

    rows = Piece.objects.in_store().order_by("number")
    assert {row.number: row.left_words for row in rows} == {
        "W-0001": "8\u00a0cm³",
        "W-0002": "232\u00a0cm³",
    }


def test_an_offcut_cannot_grow_beyond_its_parent(board, armand):
    offcut = cut(board, armand)
    offcut.length_mm = Decimal("301")

    with pytest.raises(NotEnoughWoodError):
        change_piece(offcut, by=armand, at=timezone.now())

    offcut.length_mm = Decimal("300")
    change_piece(offcut, by=armand, at=timezone.now())
    assert Piece.objects.get(pk=offcut.pk).left_cm3 == 240


def test_a_parent_cannot_become_smaller_than_its_offcut(board, armand):
    cut(board, armand)
    board.width_mm = Decimal("199")

    with pytest.raises(SmallerThanTakenError, match="the largest of it 290"):
        change_piece(board, by=armand, at=timezone.now())


def test_a_closed_piece_stays_closed_when_its_place_is_mended(board, armand):
    stale = Piece.objects.get(pk=board.pk)
    cut(board, armand)
    stale.place = "Rack 9"

    change_piece(stale, by=armand, at=timezone.now())

    kept = Piece.objects.get(pk=board.pk)
    assert kept.place == "Rack 9"
    assert kept.closed_at is not None


def test_an_offcut_is_entered_through_its_screen(client, armand, board):
    client.force_login(armand)
    address = reverse("wood:offcut", args=[board.number])
    typed = {"length_mm": "290,5", "width_mm": "199", "thickness_mm": "4", "cut": "quarter"}

    refused = client.post(address, typed | {"length_mm": "1 000"})
    answer = client.post(address, typed, follow=True)

    assert "Nothing was saved yet" in refused.text
    assert "Offcut W-0002 is entered and piece W-0001 is closed." in answer.text
    assert 'href="/wood/W-0001/"' in answer.text
    assert "W-0002" in client.get(board.get_absolute_url()).text
