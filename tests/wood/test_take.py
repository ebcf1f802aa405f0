"""Wood is taken and put back on its screens; what is refused keeps what was typed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.cases.actions import hand_back, write_hand_back
from repairs.cases.hand_back_models import HandBack
from repairs.wood.models import Piece, Withdrawal
from tests import factories
from tests.instruments.dangers import ACT, SHORT
from tests.wood.pages import left, text_of

TYPED = {"length_mm": "100", "width_mm": "50,5", "thickness_mm": "4", "purpose": "two cleats"}


@pytest.fixture
def board(armand) -> Piece:
    """500 × 200 × 4 mm: 400 cm³."""
    return factories.piece(by=armand)


@pytest.fixture
def take(client, armand, board):
    client.force_login(armand)

    def post(**changed: str):
        return client.post(reverse("wood:take", args=[board.number]), TYPED | changed)

    return post


def test_some_is_taken_for_a_case_and_the_page_leads_to_it(client, take, board, case):
    answer = take(case_number=case.number)

    page = text_of(client.get(answer["Location"].partition("#")[0]))
    taken = Withdrawal.objects.get()
    assert (taken.subject, taken.case_number) == (case.log_key, case.number)
    assert taken.volume_cm3 == Decimal("20.2")
    assert "20.2 cm³ are taken off piece W-0001." in page
    assert f'href="{case.get_absolute_url()}"' in page
    assert "two cleats · 100 × 50.5 × 4 mm" in page
    assert "380 cm³" in page


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"length_mm": "600"}, "400 cm³ are left"),
        ({"thickness_mm": "40"}, "were asked for"),
        ({"length_mm": "some"}, "“some” is not a number."),
        ({"width_mm": "0"}, "Less than 0.01 mm is not possible here."),
        ({"width_mm": "-5"}, "Less than 0.01 mm is not possible here."),
        ({"width_mm": ""}, "This field is required."),
        ({"purpose": " "}, "This field is required."),
        ({"purpose": "x" * 201}, "201"),
        ({"case_number": "2026-777"}, "No case 2026-777 is known."),
    ],
)
def test_what_cannot_be_taken_is_refused_and_what_was_typed_stays(take, changed, sentence):
    answer = take(**changed)

    page = text_of(answer)
    assert answer.status_code == 200
    assert sentence in page
    assert 'value="50,5"' in page or "width_mm" in changed
    assert not Withdrawal.objects.exists()


def test_the_form_takes_the_case_from_the_address(client, take, board, case):
    page = client.get(reverse("wood:take", args=[board.number]), {"case": case.number}).text

    assert f'value="{case.number}"' in page


def test_what_was_taken_is_put_back_by_its_button(client, take, board):
    take()
    address = reverse("wood:put_back", args=[board.number, 1])

    answer = client.post(address, follow=True)

    page = text_of(answer)
    assert "20.2 cm³ are put back." in page
    assert "put back on" in page
    assert address not in page


def test_what_a_closed_piece_will_not_take_back_is_told(client, take, board):
    take()
    client.post(reverse("wood:used_up", args=[board.number]), {"used_up": "yes"})

    answer = client.post(reverse("wood:put_back", args=[board.number, 1]), follow=True)

    assert "Piece W-0001 is closed and takes nothing back." in text_of(answer)


def test_the_page_of_ivory_offers_no_taking_and_says_why(client, armand):
    client.force_login(armand)
    piece = factories.piece(by=armand, material="ivory_elephant")

    page = text_of(client.get(piece.get_absolute_url()))
    form = text_of(client.get(reverse("wood:take", args=[piece.number])))

    assert reverse("wood:take", args=[piece.number]) not in page
    assert "The house neither supplies nor replaces this" in page
    assert "The house neither supplies nor replaces this" in form


def test_nothing_is_taken_or_put_back_once_the_case_has_ended(client, take, board, case, armand):
    take(case_number=case.number)
    said = {"received_name": case.owner.name, "state_at_return": "Sound.", "why_unworked": "dear"}
    row = HandBack(case=case, ending="handed_back", returned_at=timezone.now(), **said)
    hand_back(write_hand_back(row, by=armand, at=timezone.now()), by=armand, at=timezone.now())
    before = left(board)
    address = reverse("wood:put_back", args=[board.number, 1])

    page = client.get(board.get_absolute_url()).text
    back = client.post(address, follow=True)
    more = take(case_number=case.number)

    assert address not in page
    assert "Case 2026-001 has ended" in text_of(back)
    assert "no wood is taken for it any more" in text_of(more)
    assert left(board) == before
    assert Withdrawal.objects.count() == 1


# What stands against the instrument that the wood is for ------------------------------------------


def test_taking_wood_for_a_case_says_its_hazards_first(client, take, board, case, armand):
    factories.hazard(case.instrument, by=armand, key="pesticide")
    address = reverse("wood:take", args=[board.number])

    for answer in (
        client.get(address, {"case": case.number}),
        take(case_number=case.number, length_mm=""),
    ):
        main = answer.text[answer.text.index('id="main"') :]
        assert main.index(ACT) < main.index("<h1")
    for number in ("", "2026-999", "\0"):
        assert ACT not in client.get(address, {"case": number}).text


def test_wood_taken_at_once_for_a_typed_case_says_them_on_the_page_that_follows(
    client, take, board, case, armand
):
    factories.hazard(case.instrument, by=armand, key="pesticide")

    taken = client.get(take(case_number=case.number)["Location"])
    for_none = client.get(take()["Location"])

    assert SHORT in taken.text
    assert SHORT not in for_none.text
