"""Parts put in: of what, from where; wood of the store is taken off there, both or neither."""

from __future__ import annotations

import html
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.treatment.part_models import NewPart
from repairs.treatment.parts import fit_new_part, take_back_new_part
from repairs.treatment.refusals import NotPutInError, WorkClosedError
from repairs.wood.actions import enter_piece, put_back, set_used_up
from repairs.wood.models import Piece, Withdrawal
from repairs.wood.refusals import (
    MaterialNotSuppliedError,
    NotEnoughWoodError,
    PieceClosedError,
    ProofMissingError,
    WoodBuiltInError,
)
from tests import factories


def cut(piece: Piece, length: str = "100", width: str = "100") -> Withdrawal:
    return Withdrawal(
        piece=piece,
        length_mm=Decimal(length),
        width_mm=Decimal(width),
        thickness_mm=Decimal(4),
    )


def fit(work, taken: Withdrawal | None = None, *, by, **fields: Any) -> NewPart:
    said = {"description": "bass bar", "origin": "wood_store" if taken else "bought"} | fields
    return fit_new_part(NewPart(intervention=work, **said), taken, by=by, at=timezone.now())


def left(piece: Piece) -> Decimal:
    return Piece.objects.with_left().get(pk=piece.pk).left_cm3


def test_a_part_out_of_the_store_takes_its_wood_off_there(work, board, armand, case):
    part = fit(work, cut(board), by=armand)

    taken = Withdrawal.objects.get(new_part=part)
    assert left(board) == 360
    assert (part.material, taken.case_number, taken.purpose) == ("spruce", "2026-001", "bass bar")
    assert taken.subject == case.log_key
    verbs = LogEntry.objects.values_list("verb", flat=True)
    assert {"wood.taken", "part.new"} <= set(verbs)


def test_more_than_there_is_is_refused_and_nothing_is_written(work, board, armand):
    lines = LogEntry.objects.count()

    with pytest.raises(NotEnoughWoodError):
        fit(work, cut(board, "501", "200"), by=armand)

    assert left(board) == 400
    assert not NewPart.objects.exists()
    assert not Withdrawal.objects.exists()
    assert LogEntry.objects.count() == lines


def test_wood_without_a_part_is_not_taken_either(work, board, armand):
    """Both or neither: what fails after the cut puts the wood back where it was."""
    with pytest.raises(IntegrityError), transaction.atomic():
        fit_new_part(
            NewPart(intervention=work, description="bar", origin="wood_store", part_id=999_999),
            cut(board),
            by=armand,
            at=timezone.now(),
        )
        transaction.get_connection().check_constraints()

    assert left(board) == 400


@pytest.mark.parametrize(
    ("material", "refusal"),
    [("ivory_elephant", MaterialNotSuppliedError), ("rosewood_brazilian", ProofMissingError)],
)
def test_the_store_s_own_refusals_hold_here(work, armand, material, refusal):
    sizes = {"length_mm": Decimal(100), "width_mm": Decimal(100), "thickness_mm": Decimal(4)}
    piece = enter_piece(Piece(material=material, **sizes), by=armand, at=timezone.now())

    with pytest.raises(refusal):
        fit(work, cut(piece, "10", "10"), by=armand)

    assert not NewPart.objects.exists()


@pytest.mark.parametrize("origin", ["made", "bought", "owner"])
@pytest.mark.parametrize("material", ["ivory_elephant", "tortoiseshell", "whalebone"])
def test_ivory_and_the_like_are_not_put_in_from_elsewhere_either(work, armand, origin, material):
    with pytest.raises(NotPutInError, match="neither supplies nor replaces"):
        fit(work, by=armand, origin=origin, material=material)

    assert not NewPart.objects.exists()


def test_the_database_knows_no_part_of_the_store_without_its_piece(work, armand):
    with pytest.raises(IntegrityError), transaction.atomic():
        fit(work, by=armand, origin="wood_store", material="spruce")


def test_wood_that_is_built_in_goes_back_through_its_work_only(
    case, work, board, armand, client, send
):
    part = fit(work, cut(board), by=armand)
    client.force_login(armand)
    address = reverse("wood:put_back", args=[board.number, 1])

    page = html.unescape(client.get(board.get_absolute_url()).text)
    answer = client.post(address, follow=True)

    assert address not in page
    assert "built in: bass bar, work 1" in page
    assert "built in as “bass bar”, work 1 of case 2026-001" in html.unescape(answer.text)
    assert left(board) == 360
    send("new_part_back", case.number, work.number, part.pk, by=armand)
    assert left(board) == 400


def test_a_piece_of_the_store_and_another_origin_contradict_each_other(
    case, work, board, armand, send
):
    said = {"description": "bar", "origin": "bought", "material": "spruce", "piece": board.pk}

    answer = send("new_part", case.number, work.number, by=armand, **said)

    assert "A piece of the store is chosen" in html.unescape(answer.text)
    assert not NewPart.objects.exists()


def test_wood_of_signed_work_stays_built_in(plain_work, board, armand):
    fit(plain_work, cut(board), by=armand)
    factories.signed_off(factories.ticked(plain_work, by=armand), by=armand)

    with pytest.raises(WoodBuiltInError, match="as long as the work is not signed off"):
        put_back(Withdrawal.objects.get(), by=armand, at=timezone.now())

    assert left(board) == 360


def test_a_part_taken_back_gives_its_wood_back(work, board, armand, case, send, see):
    part = fit(work, cut(board), by=armand)

    send("new_part_back", case.number, work.number, part.pk, by=armand)

    assert left(board) == 400
    assert "<strong>bass bar</strong>" not in see("work", case.number, work.number, by=armand)
    assert send("new_part_back", case.number, work.number, part.pk, by=armand).status_code == 404


def test_a_part_whose_piece_is_closed_is_not_half_taken_back(work, board, armand):
    part = fit(work, cut(board), by=armand)
    set_used_up(board, True, by=armand, at=timezone.now())

    with pytest.raises(PieceClosedError):
        take_back_new_part(part, by=armand, at=timezone.now())

    assert NewPart.objects.get(pk=part.pk).withdrawn_at is None
    assert Withdrawal.objects.get(new_part=part).returned_at is None


def test_signed_work_takes_no_new_part(plain_work, board, armand):
    factories.signed_off(factories.ticked(plain_work, by=armand), by=armand)

    with pytest.raises(WorkClosedError):
        fit(plain_work, cut(board), by=armand)

    assert left(board) == 400


# On the screen ---------------------------------------------------------------------------------


def typed(board: Piece | None = None, **words: str) -> dict[str, Any]:
    if board is None:
        return {"description": "peg", "origin": "bought", "material": "boxwood"} | words
    return {
        "description": "bass bar",
        "origin": "wood_store",
        "piece": board.pk,
        "length_mm": "100",
        "width_mm": "100",
        "thickness_mm": "4",
        "marking": "dated in pencil",
    } | words


def test_the_screen_takes_wood_off_the_store(case, work, board, lise, send, see):
    send("new_part", case.number, work.number, by=lise, **typed(board))

    page = see("work", case.number, work.number, by=lise)
    assert left(board) == 360
    assert "the wood store W-0001" in page
    assert "dated in pencil" in page


def test_too_much_is_refused_beside_the_form_with_what_was_typed(case, work, board, armand, send):
    answer = send(
        "new_part", case.number, work.number, by=armand, **typed(board, length_mm="900,5")
    )

    page = html.unescape(answer.content.decode())
    assert answer.status_code == 409
    assert "Take less, or take it from another piece." in page
    assert 'value="900,5"' in page
    assert f'<option value="{board.pk}" selected>' in page
    assert not NewPart.objects.exists()


def test_ivory_is_refused_beside_the_form(case, work, armand, send):
    answer = send(
        "new_part", case.number, work.number, by=armand, **typed(material="ivory_elephant")
    )

    assert answer.status_code == 409
    assert "elephant ivory" in answer.content.decode()


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ({"piece": ""}, "Needed for a part out of the wood store."),
        ({"width_mm": ""}, "Needed for a part out of the wood store."),
        ({"width_mm": "wide"}, "is not a number"),
        ({"width_mm": "-3"}, "Less than 0.1"),
        ({"origin": "bought", "material": ""}, "Say of what material it is."),
        ({"description": ""}, "This field is required."),
    ],
)
def test_what_is_missing_is_asked_for_and_the_rest_stays(
    case, work, board, armand, send, words, sentence
):
    answer = send("new_part", case.number, work.number, by=armand, **typed(board, **words))

    page = html.unescape(answer.content.decode())
    assert sentence in page
    assert 'value="dated in pencil"' in page
    assert not NewPart.objects.exists()


def test_a_piece_that_is_used_up_is_not_offered(case, work, board, armand, see):
    assert "W-0001" in see("new_part", case.number, work.number, by=armand)

    set_used_up(board, True, by=armand, at=timezone.now())

    assert "W-0001" not in see("new_part", case.number, work.number, by=armand)
