"""Pieces are entered through their screen, and mended."""

from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.wood.actions import change_piece
from repairs.wood.forms import GROUPS, material_choices
from repairs.wood.models import Piece
from repairs.wood.refusals import SmallerThanTakenError
from tests import factories
from tests.wood.pages import text_of

TYPED = {
    "material": "spruce",
    "form": "board",
    "cut": "quarter",
    "length_mm": "512,5",
    "width_mm": "205",
    "thickness_mm": "4.2",
    "place": "Rack 3",
}


def tomorrow() -> str:
    """Of the day on which the test runs, which need not be that on which it was collected."""
    return (timezone.localdate() + dt.timedelta(days=1)).isoformat()


@pytest.fixture
def send(client, lise):
    client.force_login(lise)

    def post(**changed: str):
        return client.post(reverse("wood:add"), TYPED | changed)

    return post


def test_a_piece_is_entered_with_the_next_number_and_its_page_shows_it(client, send, lise):
    answer = send(
        felled_year="1998", acquired_on="2001-04-05", acquired_from="Odon Perrachon", note="even"
    )

    piece = Piece.objects.get()
    page = text_of(client.get(answer["Location"]))
    assert answer["Location"] == "/wood/W-0001/"
    assert (piece.number, piece.entered_by) == ("W-0001", lise)
    assert piece.volume_cm3 == Decimal("441.2625")
    assert "Piece W-0001 is entered." in page
    assert "512.5 × 205 × 4.2 mm" in page
    assert "441 cm³" in page
    assert "Picea abies" in page
    assert "protected" not in page.casefold()


def test_numbers_follow_one_another_without_a_gap_though_one_entry_fails(armand):
    factories.piece(by=armand)
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        factories.piece(by=armand)
        _ = 1 // 0

    assert factories.piece(by=armand).number == "W-0002"


def test_the_log_knows_the_piece_but_not_from_whom_it_came(armand):
    factories.piece(by=armand, acquired_from="Odon Perrachon", acquisition_proof="Bill 77")

    line = LogEntry.objects.get(verb="wood.entered")
    assert (line.subject, line.details["material"]) == ("piece:W-0001", "spruce")
    assert "Perrachon" not in json.dumps(line.details)
    assert "Bill 77" not in json.dumps(line.details)


@pytest.mark.parametrize(
    ("changed", "field", "sentence"),
    [
        ({"length_mm": "long"}, "length_mm", "“long” is not a number."),
        ({"length_mm": "0"}, "length_mm", "Less than 0.01 mm is not possible here."),
        ({"width_mm": "-20"}, "width_mm", "Less than 0.01 mm is not possible here."),
        ({"width_mm": "50000"}, "width_mm", "More than 4999 mm is not possible here"),
        ({"thickness_mm": ""}, "thickness_mm", "This field is required."),
        ({"material": ""}, "material", "This field is required."),
        ({"material": "brass"}, "material", "Select a valid choice."),
        ({"form": "log"}, "form", "Select a valid choice."),
        ({"felled_year": "19980"}, "felled_year", "No tree of this year can lie here."),
        ({"felled_year": "12"}, "felled_year", "No tree of this year can lie here."),
        ({"acquired_on": tomorrow}, "acquired_on", "This day is still to come."),
        ({"acquired_on": "soon"}, "acquired_on", "Enter a valid date."),
        (
            {"permit_issued_on": "2020-02-02", "permit_expires_on": "2020-02-01"},
            "permit_expires_on",
            "It would expire before it was issued.",
        ),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(send, changed, field, sentence):
    said = {key: word() if callable(word) else word for key, word in changed.items()}

    answer = send(**said)

    page = text_of(answer)
    assert answer.status_code == 200
    assert f'id="id_{field}_problem"' in page
    assert sentence in page
    assert 'value="Rack 3"' in page
    assert not Piece.objects.exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"length_mm": Decimal("0")},
        {"felled_year": 12},
        {"permit_issued_on": dt.date(2020, 2, 2), "permit_expires_on": dt.date(2020, 2, 1)},
    ],
)
def test_the_database_refuses_it_too(armand, wrong):
    with pytest.raises(IntegrityError), transaction.atomic():
        factories.piece(by=armand, **wrong)


def test_the_store_offers_wood_bone_and_shell_and_no_metal():
    keys = {key for key, _name in material_choices()}

    assert {"spruce", "wood_unknown", "bone", "horn", "ivory_elephant", "mother_of_pearl"} <= keys
    assert not {"brass", "hide_glue", "gut", "shellac"} & keys
    assert len(GROUPS) == 3


# Mending ----------------------------------------------------------------------------------------


def test_a_piece_is_mended_and_keeps_its_number(client, lise, armand):
    piece = factories.piece(by=armand)
    client.force_login(lise)

    answer = client.post(
        reverse("wood:edit", args=[piece.number]),
        TYPED | {"material": "maple", "length_mm": "600"},
    )

    piece.refresh_from_db()
    assert answer["Location"] == piece.get_absolute_url()
    assert (piece.number, piece.material, piece.length_mm) == ("W-0001", "maple", Decimal(600))
    assert piece.volume_cm3 == Decimal("516.6")
    assert piece.entered_by == armand
    assert LogEntry.objects.filter(verb="wood.changed", subject="piece:W-0001").count() == 1


def test_a_piece_cannot_be_made_smaller_than_what_was_taken(client, lise, armand):
    piece = factories.piece(by=armand)
    for _time in range(2):
        factories.withdrawal(piece, by=armand, length_mm=Decimal("150"))
    client.force_login(lise)
    address = reverse("wood:edit", args=[piece.number])

    too_little = client.post(address, TYPED | {"length_mm": "140", "width_mm": "200"})
    too_short = client.post(address, TYPED | {"length_mm": "300", "width_mm": "99"})
    enough = client.post(address, TYPED | {"length_mm": "150", "width_mm": "200"})

    said = "120 cm³ were taken from piece W-0001, the largest of it 150 × 100 × 4 mm"
    assert said in text_of(too_little)
    assert said in text_of(too_short)
    assert enough.status_code == 302
    assert Piece.objects.get().length_mm == 150


def test_what_was_put_back_does_not_hold_a_piece_large(armand):
    piece = factories.piece(by=armand)
    taken = factories.withdrawal(piece, by=armand)
    piece.length_mm = Decimal("50")
    piece.width_mm = Decimal("50")
    with pytest.raises(SmallerThanTakenError):
        change_piece(piece, by=armand, at=timezone.now())
    taken.returned_at, taken.returned_by = timezone.now(), armand
    taken.save()

    change_piece(piece, by=armand, at=timezone.now())

    assert Piece.objects.get().volume_cm3 == 10


# Protected materials ----------------------------------------------------------------------------


def test_the_page_of_a_protected_piece_says_what_it_needs_and_as_of_when(client, lise, send):
    page = text_of(client.get(send(material="rosewood_brazilian")["Location"]))

    assert "▲ Protected" in page
    assert "CITES App. I; EU Annex A" in page
    assert "certificate under Article 10" in page
    assert "Check the current list at cites.org and ask the competent authority." in page
    assert "Rules as of December 15, 2025" in page or "Rules as of 15 December 2025" in page
    assert "No proof of acquisition is noted" in page
    assert "#id_acquisition_proof" in page


def test_a_proof_that_is_noted_takes_the_mark_away(client, lise, send):
    answer = send(material="rosewood_brazilian", acquisition_proof="Bill of 1989, blue folder")

    page = text_of(client.get(answer["Location"]))
    assert "proof missing" not in page
    assert "No proof of acquisition is noted" not in page
    assert "Bill of 1989, blue folder" in page
    assert "To take it across a border" in page


def test_what_is_partly_from_memory_says_so(client, send):
    mahogany = text_of(client.get(send(material="mahogany")["Location"]))
    cedro = text_of(client.get(send(material="cedar")["Location"]))

    assert "from memory: read the list" not in mahogany
    assert "from memory: read the list" in cedro
