"""Verbs on the wood store: enter, change, test, take and put back, cut an offcut, use up."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django.db.models import Max

from repairs.audit.actions import deed, record
from repairs.audit.level import took
from repairs.cases.locks import hold_case
from repairs.cases.models import Case
from repairs.people.models import User
from repairs.wood.gauging import measure
from repairs.wood.models import Piece, Withdrawal, WoodSeries
from repairs.wood.numbers import PIECES, written
from repairs.wood.refusals import (
    MaterialNotSuppliedError,
    NotEnoughWoodError,
    PieceClosedError,
    ProofMissingError,
    SmallerThanTakenError,
    WoodBuiltInError,
    WoodOfEndedCaseError,
)
from repairs.wood.sizes import Sizes, volume_cm3
from repairs.wood.tested_models import WoodTest
from repairs.wood.words import exact_volume_words, size_words

# What an offcut has from the piece that it was cut from.
INHERITED = (
    "material",
    "identified_by",
    "felled_year",
    "acquired_on",
    "acquired_from",
    "acquisition_proof",
    "permit_number",
    "permit_issued_on",
    "permit_expires_on",
)


@deed()
def enter_piece(piece: Piece, *, by: User, at: dt.datetime) -> Piece:
    """Give the next number. A protected material may be entered before its proof is found."""
    _enter(piece, by, at)
    record(
        by,
        "wood.entered",
        piece,
        at=at,
        hashed=_papers(piece),
        number=piece.number,
        material=piece.material,
    )
    return piece


def _enter(piece: Piece, by: User, at: dt.datetime) -> None:
    WoodSeries.objects.get_or_create(pk=1)
    # Numbers are written on the wood with a pencil: none may be given twice.
    series = WoodSeries.objects.select_for_update().get(pk=1)
    series.last += 1
    series.save(update_fields=["last"])
    took(PIECES, series.pk, number=series.last)
    piece.sequence, piece.number = series.last, written(series.pk, series.last)
    piece.entered_at, piece.entered_by = at, by
    piece.save()


# Dealers are people: names and permits go into the log as hashes only.
def _papers(piece: Piece) -> dict[str, object]:
    """What the papers say, of which the log keeps hashes only."""
    return {
        "acquired_from": piece.acquired_from,
        "acquisition_proof": piece.acquisition_proof,
        "permit_number": piece.permit_number,
    }


@deed()
def change_piece(piece: Piece, *, by: User, at: dt.datetime) -> Piece:
    """Mend what was typed. Raises SmallerThanTakenError when what went from it would not fit."""
    kept = _locked(piece.pk)
    _must_hold_what_went(piece, kept)
    if kept.parent_id is not None:
        parent = _locked(kept.parent_id)
        _must_have(parent, piece.sizes_mm, parent.rest_cm3 + kept.volume_cm3)
    piece.closed_at = kept.closed_at
    piece.save()
    record(by, "wood.changed", piece, at=at, hashed=_papers(piece), material=piece.material)
    return piece


@deed()
def test_piece(test: WoodTest, *, by: User, at: dt.datetime) -> WoodTest:
    """Keep what was measured and what the gauges make of it. Raises GaugeInputError."""
    test.by, test.saved_at = by, at
    measure(test, test.piece.material).save(force_insert=True)
    record(by, "wood.tested", test.piece, at=at, test=test.pk, versions=test.versions)
    return test


@deed()
def withdraw(withdrawal: Withdrawal, *, by: User, at: dt.datetime) -> Withdrawal:
    """Take wood off its piece, which stays locked meanwhile.

    Locked, as two who cut at the same moment would both find enough in a board that holds one of
    their blanks. What is asked must fit as a block too: a litre of splinters makes no neck.

    Raises NotEnoughWoodError when more is asked for than is left, MaterialNotSuppliedError for
    what the house never puts into an instrument, ProofMissingError for a protected material of
    which nobody has shown yet where it comes from, and WoodOfEndedCaseError.
    """
    # The case before the piece, as every verb does that takes both.
    hold_case(withdrawal.case_number)
    piece = _locked(withdrawal.piece_id)
    _may_leave(piece, withdrawal)
    _must_have(piece, withdrawal.sizes_mm, piece.left_cm3)
    last = piece.withdrawals.aggregate(last=Max("number"))["last"] or 0
    withdrawal.number = last + 1
    withdrawal.volume_cm3 = volume_cm3(withdrawal.sizes_mm)
    withdrawal.at, withdrawal.by = at, by
    withdrawal.save(force_insert=True)
    record(
        by,
        "wood.taken",
        piece,
        at=at,
        withdrawal=withdrawal.number,
        volume_cm3=str(withdrawal.volume_cm3),
        taken_for=withdrawal.subject,
    )
    return withdrawal


@deed()
def put_back(withdrawal: Withdrawal, *, by: User, at: dt.datetime) -> Withdrawal:
    """Lay back what was taken. A second time does nothing; a closed piece takes nothing back.

    Raises WoodBuiltInError while a new part made of it stands: it is taken back on the page of its
    work, which asks whether that is signed off; and WoodOfEndedCaseError.
    """
    hold_case(withdrawal.case_number)
    piece = _locked(withdrawal.piece_id)
    withdrawal.refresh_from_db(fields=["returned_at", "returned_by"])
    if withdrawal.returned_at is not None:
        return withdrawal
    if piece.closed_at is not None:
        raise PieceClosedError(number=piece.number)
    _check_not_built_in(withdrawal)
    _check_case_open(withdrawal)
    withdrawal.returned_at, withdrawal.returned_by = at, by
    withdrawal.save(update_fields=["returned_at", "returned_by"])
    record(by, "wood.put_back", piece, at=at, withdrawal=withdrawal.number)
    return withdrawal


@deed()
def make_offcut(offcut: Piece, *, by: User, at: dt.datetime) -> Piece:
    """Enter what is left of ``offcut.parent`` as a piece of its own; the parent is closed.

    A second offcut of the same parent may follow, as long as it finds room in what was left.
    """
    parent = _locked(offcut.parent_id)
    _must_have(parent, offcut.sizes_mm, parent.rest_cm3)
    offcut.parent, offcut.form = parent, Piece.Form.OFFCUT
    for name in INHERITED:
        setattr(offcut, name, getattr(parent, name))
    _enter(offcut, by, at)
    if parent.closed_at is None:
        parent.closed_at = at
        parent.save(update_fields=["closed_at"])
    record(by, "wood.offcut_made", parent, at=at, offcut=offcut.number)
    return offcut


@deed()
def set_used_up(piece: Piece, used_up: bool, *, by: User, at: dt.datetime) -> None:
    """Close a piece of which nothing usable is left, or open it again."""
    locked = _locked(piece.pk)
    piece.closed_at = locked.closed_at = at if used_up else None
    locked.save(update_fields=["closed_at"])
    record(by, "wood.used_up" if used_up else "wood.reopened", locked, at=at)


def _locked(pk: Any) -> Piece:
    return Piece.objects.select_for_update().get(pk=pk)


def _may_leave(piece: Piece, withdrawal: Withdrawal) -> None:
    if not piece.is_supplied:
        raise MaterialNotSuppliedError(number=piece.number, material=piece.material_label)
    # A jig or a test strip stays in the house; what leaves in an instrument needs its origin on
    # record (Reg. 338/97, art. 8).
    if piece.lacks_proof and withdrawal.is_for_case:
        raise ProofMissingError(number=piece.number, material=piece.material_label)
    _check_case_open(withdrawal)


def _check_not_built_in(withdrawal: Withdrawal) -> None:
    row = Withdrawal.objects.select_related("new_part__intervention__case").get(pk=withdrawal.pk)
    if (part := row.standing_part) is not None:
        work = part.intervention
        raise WoodBuiltInError(part=part, work=work.number, case=work.case.number)


def _check_case_open(withdrawal: Withdrawal) -> None:
    if ended_cases([withdrawal]):
        raise WoodOfEndedCaseError(number=withdrawal.case_number)


def ended_cases(withdrawals: Iterable[Withdrawal]) -> set[str]:
    """Log keys of those cases that wood was taken for and whose stay has ended."""
    numbers = {row.case_number for row in withdrawals if row.case_number}
    ended = Case.objects.filter(number__in=numbers, ended_at__isnull=False)
    return {case.log_key for case in ended.only("number")}


def _must_have(piece: Piece, sizes_mm: Sizes, left_cm3: Decimal) -> None:
    """Raise NotEnoughWoodError when a block of these sizes cannot come out of the piece."""
    asked_cm3 = volume_cm3(sizes_mm)
    if asked_cm3 > left_cm3 or not _fits(sizes_mm, piece.sizes_mm):
        raise NotEnoughWoodError(
            number=piece.number,
            left=exact_volume_words(left_cm3),
            sizes=piece.size_words,
            asked=exact_volume_words(asked_cm3),
            asked_sizes=size_words(sizes_mm),
        )


def _must_hold_what_went(piece: Piece, kept: Piece) -> None:
    """Raise SmallerThanTakenError when what went from ``kept`` exceeds its new sizes."""
    went = [*kept.withdrawals.out(), *kept.offcuts.all()]
    gone_cm3 = sum((row.volume_cm3 for row in went), Decimal(0))
    if gone_cm3 > volume_cm3(piece.sizes_mm) or not all(
        _fits(row.sizes_mm, piece.sizes_mm) for row in went
    ):
        largest = max(went, key=lambda row: row.volume_cm3)
        raise SmallerThanTakenError(
            number=kept.number,
            gone=exact_volume_words(gone_cm3),
            largest=size_words(largest.sizes_mm),
        )


def _fits(inner: Sizes, outer: Sizes) -> bool:
    """Whether a block fits into the other, turned as it likes."""
    # Along the axes only, which is how a saw cuts; a blank laid askew in a board is not offered.
    return all(a <= b for a, b in zip(sorted(inner), sorted(outer), strict=True))
