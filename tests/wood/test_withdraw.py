"""Wood is taken off its piece by amounts, never more than there is, and may be put back."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.wood.actions import put_back, set_used_up
from repairs.wood.models import Piece, Withdrawal
from repairs.wood.refusals import (
    MaterialNotSuppliedError,
    NotEnoughWoodError,
    PieceClosedError,
    ProofMissingError,
)
from tests import factories
from tests.beside import beside, shared_database
from tests.wood.pages import left
from tests.wood.taking import bits

ROSEWOOD = {"material": "rosewood_brazilian"}
PAPER = "Bill of 3 May 1989, blue folder"


@pytest.fixture
def board(armand) -> Piece:
    """500 × 200 × 4 mm: 400 cm³."""
    return factories.piece(by=armand)


def sizes(length: str, width: str, thickness: str) -> dict[str, Decimal]:
    return {
        "length_mm": Decimal(length),
        "width_mm": Decimal(width),
        "thickness_mm": Decimal(thickness),
    }


def test_what_is_taken_comes_off_the_piece_and_is_in_the_log(board, armand):
    taken = factories.withdrawal(
        board, by=armand, case_number="2026-001", subject="case:2026-001", purpose="cleats"
    )

    line = LogEntry.objects.get(verb="wood.taken")
    assert (taken.number, taken.volume_cm3) == (1, Decimal(40))
    assert left(board) == (360, 360)
    assert (line.subject, line.details["withdrawal"]) == (f"piece:{board.number}", 1)
    assert line.details["taken_for"] == "case:2026-001"


def test_withdrawals_of_a_piece_are_numbered_from_one(board, armand):
    other = factories.piece(by=armand)

    numbers = [factories.withdrawal(piece, by=armand).number for piece in (board, board, other)]

    assert numbers == [1, 2, 1]


def test_what_is_put_back_is_there_again_and_stays_written_down(board, armand, lise):
    taken = factories.withdrawal(board, by=armand)

    put_back(taken, by=lise, at=timezone.now())

    kept = Withdrawal.objects.get()
    assert left(board) == (400, 400)
    assert (kept.by, kept.returned_by) == (armand, lise)
    assert LogEntry.objects.filter(verb="wood.put_back").count() == 1


def test_putting_back_twice_puts_back_once(board, armand, lise):
    taken = factories.withdrawal(board, by=armand)
    put_back(Withdrawal.objects.get(), by=armand, at=timezone.now())

    put_back(taken, by=lise, at=timezone.now())

    assert left(board) == (400, 400)
    assert Withdrawal.objects.get().returned_by == armand
    assert LogEntry.objects.filter(verb="wood.put_back").count() == 1


def test_the_whole_piece_can_be_taken_and_is_then_used_up(board, armand):
    factories.withdrawal(board, by=armand, **sizes("500", "200", "4"))

    assert left(board) == (0, 0)
    assert list(Piece.objects.in_store()) == []
    assert list(Piece.objects.used_up()) == [board]


def test_parts_with_broken_sizes_add_up_to_the_piece_exactly(armand):
    piece = factories.piece(by=armand, **sizes("33.33", "7.77", "1.11"))
    for _third in range(3):
        factories.withdrawal(piece, by=armand, **sizes("11.11", "7.77", "1.11"))

    assert left(piece) == (0, 0)
    assert not Piece.objects.in_store().exists()
    with pytest.raises(NotEnoughWoodError):
        factories.withdrawal(piece, by=armand, **sizes("0.01", "0.01", "0.01"))


@pytest.mark.parametrize(
    ("asked", "is_there"),
    [
        (sizes("200", "4", "500"), True),  # the same board, turned
        (sizes("500.01", "1", "1"), False),
        (sizes("4.01", "4.01", "4.01"), False),  # thicker than the board, however little
        (sizes("500", "200", "4.01"), False),
    ],
)
def test_a_part_must_fit_into_the_piece_turned_as_it_likes(board, armand, asked, is_there):
    if is_there:
        factories.withdrawal(board, by=armand, **asked)
    else:
        with pytest.raises(NotEnoughWoodError):
            factories.withdrawal(board, by=armand, **asked)

    assert Withdrawal.objects.exists() is is_there


def test_more_than_is_left_is_refused_with_what_is_left_and_what_was_asked(board, armand):
    factories.withdrawal(board, by=armand, **sizes("350", "200", "4"))

    with pytest.raises(NotEnoughWoodError) as refused:
        factories.withdrawal(board, by=armand, **sizes("160", "200", "4"))

    said = str(refused.value).replace("\u00a0", " ")
    assert said == (
        "Of piece W-0001 120 cm³ are left, and it measured 500 × 200 × 4 mm when it was whole; "
        "128 cm³ (160 × 200 × 4 mm) were asked for. Take less, or take it from another piece."
    )
    assert Withdrawal.objects.count() == 1
    assert LogEntry.objects.filter(verb="wood.taken").count() == 1


def test_a_withdrawal_of_nothing_is_refused_by_the_database(board, armand):
    with pytest.raises(IntegrityError), transaction.atomic():
        factories.withdrawal(board, by=armand, **sizes("0", "10", "4"))
    with pytest.raises(IntegrityError), transaction.atomic():
        factories.withdrawal(board, by=armand, **sizes("-10", "-10", "4"))

    assert not Withdrawal.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_two_people_at_once_cannot_take_more_than_there_is(tmp_path):
    """Thirty bits of a cubic centimetre, asked for by two at the same time, of a piece of 35."""
    with shared_database(tmp_path) as address:
        armand = factories.person("armand", "luthier")
        piece = factories.piece(by=armand, **sizes("350", "10", "10"))
        words = (piece.number, "30")
        with beside(
            "tests.wood.taking:take_bits", *words, database=address, folder=tmp_path
        ) as other:
            other.hear()
            other.go()
            here = bits(piece.number, armand, 30)
            there = int(other.end())

        rows = list(Withdrawal.objects.values_list("number", flat=True))
        assert here + there == 35 == len(rows)
        assert sorted(rows) == list(range(1, 36))
        assert left(piece) == (0, 0)


# Protected materials ----------------------------------------------------------------------------


def test_protected_wood_without_proof_is_entered_but_not_taken_for_a_case(armand, case):
    piece = factories.piece(by=armand, **ROSEWOOD)

    with pytest.raises(ProofMissingError, match=r"W-0001 .Brazilian rosewood. is of a protected"):
        factories.withdrawal(piece, by=armand, case_number=case.number)
    with pytest.raises(ProofMissingError):
        factories.withdrawal(piece, by=armand, subject=case.log_key)

    assert left(piece) == (400, 400)


def test_protected_wood_without_proof_may_leave_when_it_is_for_no_case(armand):
    piece = factories.piece(by=armand, **ROSEWOOD)

    factories.withdrawal(piece, by=armand, purpose="sample for a laboratory")

    assert left(piece) == (360, 360)


def test_protected_wood_with_proof_is_taken_for_a_case(armand, case):
    piece = factories.piece(by=armand, **ROSEWOOD, acquisition_proof=PAPER)

    factories.withdrawal(piece, by=armand, case_number=case.number, subject=case.log_key)

    assert left(piece) == (360, 360)


def test_a_proof_of_spaces_is_none(armand, case):
    piece = factories.piece(by=armand, **ROSEWOOD, acquisition_proof="  \n ")

    with pytest.raises(ProofMissingError):
        factories.withdrawal(piece, by=armand, case_number=case.number)


@pytest.mark.parametrize(
    "material", ["ivory_elephant", "ivory_unknown", "tortoiseshell", "whale_tooth", "whalebone"]
)
def test_ivory_and_the_like_are_never_taken_though_their_proof_is_noted(armand, material):
    piece = factories.piece(by=armand, material=material, acquisition_proof=PAPER)

    with pytest.raises(MaterialNotSuppliedError, match="neither supplies nor replaces"):
        factories.withdrawal(piece, by=armand)

    assert left(piece) == (400, 400)


def test_bone_and_horn_are_taken_like_wood(armand):
    for material in ("bone", "horn"):
        piece = factories.piece(by=armand, material=material, form="other")
        factories.withdrawal(piece, by=armand)

        assert left(piece) == (360, 360)


# Closed pieces ----------------------------------------------------------------------------------


def test_a_closed_piece_gives_nothing_and_takes_nothing_back_until_it_is_open_again(board, armand):
    taken = factories.withdrawal(board, by=armand)
    set_used_up(board, True, by=armand, at=timezone.now())

    with pytest.raises(NotEnoughWoodError, match=r"W-0001 0.cm³ are left"):
        factories.withdrawal(board, by=armand)
    with pytest.raises(PieceClosedError, match="W-0001 is closed"):
        put_back(taken, by=armand, at=timezone.now())
    assert left(board) == (0, 0)

    set_used_up(board, False, by=armand, at=timezone.now())
    put_back(taken, by=armand, at=timezone.now())
    assert left(board) == (400, 400)
    verbs = LogEntry.objects.filter(subject=board.log_key).values_list("verb", flat=True)
    assert [verb for verb in verbs if verb.startswith("wood.")] == [
        "wood.entered",
        "wood.taken",
        "wood.used_up",
        "wood.reopened",
        "wood.put_back",
    ]
