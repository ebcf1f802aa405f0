"""What the forms of materials, bags, new parts and followed advice take."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from repairs.cases.models import Case
from repairs.readings.models import Prescription
from repairs.treatment.outcome_models import MoveDone
from repairs.treatment.part_forms import FateForm, FollowForm, MaterialForm, NewPartForm
from tests import factories


@pytest.mark.parametrize(("asked", "hint"), [(["glue_temperature"], False), ([], True)])
def test_a_glue_that_is_not_asked_for_says_when_it_is_wanted(case, armand, asked, hint):
    version = factories.procedure_version(by=armand, asks=asked)

    form = MaterialForm(procedure=version.procedure)

    assert (form.fields["glue_t_c"].help_text == "Only where a warm glue was used.") is hint
    assert form.fields["name"].widget.attrs["list"] == "usual-materials"


@pytest.mark.parametrize(
    ("words", "because", "is_taken"), [(200, 60, True), (200, 61, False), (300, 0, True)]
)
def test_words_and_reason_together_have_two_hundred_and_sixty_letters(words, because, is_taken):
    said = {"fate": "kept", "words": "w" * words, "because": "b" * because}

    form = FateForm(said, is_told=True)

    assert form.is_valid() is is_taken
    assert ("because" in form.errors) is not is_taken


def test_no_reason_is_asked_for_what_no_paper_told():
    form = FateForm({"fate": "kept", "words": ""})

    assert "because" not in form.fields
    assert form.is_valid()
    assert form.cleaned_data["because"] == ""


def new_part(case: Case, **said: Any) -> NewPartForm:
    return NewPartForm({"description": "peg", "marking": "signed"} | said, case=case)


def test_a_part_out_of_the_store_names_its_piece_and_all_its_sizes(case, board):
    bare = new_part(case, origin="wood_store")
    sizes = {"length_mm": "30", "width_mm": "10", "thickness_mm": "3"}
    whole = new_part(case, origin="wood_store", piece=board.pk, **sizes)

    assert set(bare.errors) == {"piece", "length_mm", "width_mm", "thickness_mm"}
    assert whole.is_valid(), whole.errors
    cut = whole.withdrawal()
    assert cut is not None
    assert cut.piece == board
    assert [cut.length_mm, cut.width_mm, cut.thickness_mm] == [Decimal(30), Decimal(10), Decimal(3)]


def test_a_size_that_cannot_be_is_told_once(case, board):
    sizes = {"length_mm": "x", "width_mm": "10", "thickness_mm": "3"}

    form = new_part(case, origin="wood_store", piece=board.pk, **sizes)

    assert {name: len(told) for name, told in form.errors.items()} == {"length_mm": 1}


@pytest.mark.parametrize(
    ("said", "wrong"),
    [
        ({"material": "bone"}, set()),
        ({}, {"material"}),
        ({"material": "no such"}, {"material"}),
    ],
    ids=["of bone", "of nothing", "of what is not known"],
)
def test_a_bought_part_says_its_material(case, said, wrong):
    form = new_part(case, origin="bought", **said)

    assert set(form.errors) == wrong
    assert all(len(told) == 1 for told in form.errors.values())
    if not wrong:
        assert form.withdrawal() is None


def test_a_bought_part_is_of_no_piece_of_the_store(case, board):
    form = new_part(case, origin="bought", material="bone", piece=board.pk)

    assert set(form.errors) == {"piece"}


@pytest.mark.parametrize(
    ("advised", "noted", "shown"),
    [(-0.31004, None, "-0.31"), (-0.31004, 0.25, "0.25"), (0.123456, None, "0.1235"), (None,) * 3],
)
def test_the_amount_that_was_advised_or_noted_stands_in_the_field(advised, noted, shown):
    told = Prescription(pk=7, amount=advised, unit="mm")

    form = FollowForm(instance=MoveDone(prescription=told, amount=noted))

    known = form.initial.get("amount")
    assert (None if known is None else str(known)) == shown
    assert form.fields["amount"].widget.attrs["data-unit"] == "mm"
