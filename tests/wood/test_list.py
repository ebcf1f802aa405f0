"""The list of the store: what it tells of each piece, how it is narrowed, and what it asks."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from repairs.bench.search import find
from repairs.wood.actions import set_used_up
from repairs.wood.models import Piece
from tests import factories
from tests.wood.pages import text_of


@pytest.fixture
def listed(client, tom):
    """The numbers that the list shows to a reader."""
    client.force_login(tom)

    def numbers(**asked: str) -> set[str]:
        page = client.get(reverse("wood:list"), asked).text
        return {row.number for row in Piece.objects.all() if f"<strong>{row.number}<" in page}

    return numbers


def test_the_empty_store_says_what_goes_there_and_offers_the_first_piece(client, lise, tom):
    client.force_login(lise)
    page = text_of(client.get(reverse("wood:list")))
    client.force_login(tom)
    of_reader = text_of(client.get(reverse("wood:list")))

    assert "Boards, billets and offcuts stand here" in page
    assert "Enter the first piece" in page
    assert "Boards, billets and offcuts stand here" in of_reader
    assert "Enter the first piece" not in of_reader


def test_the_list_is_narrowed_by_material_form_words_and_what_is_left(listed, armand):
    factories.piece(by=armand)
    factories.piece(by=armand, material="maple", form="billet", note="Flamed like a tiger")
    gone = factories.piece(by=armand, material="pear", form="offcut", place="Tiroir des érables")
    set_used_up(gone, True, by=armand, at=timezone.now())

    assert listed() == {"W-0001", "W-0002"}
    assert listed(state="all") == {"W-0001", "W-0002", "W-0003"}
    assert listed(state="used_up") == {"W-0003"}
    assert listed(material="maple") == {"W-0002"}
    assert listed(form="board") == {"W-0001"}
    assert listed(material="maple", form="board") == set()
    assert listed(q="tiger flamed") == {"W-0002"}
    assert listed(q="epicea") == listed(q="picea") == listed(q="Spruce") == {"W-0001"}
    assert listed(q="erable", state="all") == {"W-0002", "W-0003"}
    assert listed(q="w-0002") == {"W-0002"}
    assert listed(material="gold", form="?", state="?", q="\0") == {"W-0001", "W-0002"}


def test_a_line_tells_number_species_sizes_what_is_left_density_and_protection(client, tom, armand):
    piece = factories.piece(by=armand, material="rosewood_indian")
    factories.withdrawal(piece, by=armand)
    factories.wood_test(piece, by=armand)
    client.force_login(tom)

    page = " ".join(text_of(client.get(reverse("wood:list"))).split())

    assert "Indian rosewood, board · 500 × 200 × 4 mm" in page
    assert "360 cm³ left" in page
    assert "400 ± 8 kg/m³" in page
    assert "▲ protected" in page
    assert "✕ proof missing" in page


def test_a_search_without_result_leads_back_to_what_is_there(client, tom, armand):
    factories.piece(by=armand)
    client.force_login(tom)

    page = text_of(client.get(reverse("wood:list"), {"q": "zebrano"}))

    assert "No piece matches this." in page
    assert f'href="{reverse("wood:list")}"' in page


def test_the_list_and_the_page_ask_as_often_for_twelve_as_for_three(client, tom, armand):
    client.force_login(tom)

    def asked(address: str, **words: str) -> int:
        with CaptureQueriesContext(connection) as queries:
            assert client.get(address, words).status_code == 200
        return len(queries)

    board = factories.piece(by=armand)
    counts = []
    for number in (3, 12):
        for _time in range(number):
            factories.piece(by=armand, parent=board, length_mm=Decimal("1"))
            piece = factories.piece(by=armand)
            factories.wood_test(piece, by=armand)
            factories.withdrawal(piece, by=armand)
            factories.withdrawal(board, by=armand, length_mm=Decimal("5"))
            factories.wood_test(board, by=armand)
        counts.append(
            [
                asked(reverse("wood:list"), state="all"),
                asked(reverse("wood:list"), q="spruce"),
                asked(reverse("wood:list"), state="used_up"),
                asked(board.get_absolute_url()),
                asked(reverse("bench:search"), q="spruce"),
            ]
        )

    assert counts[0] == counts[1]
    assert max(counts[0]) <= 11


@pytest.mark.parametrize("words", ["W-0001", "w-0001", "épicéa", "spruce", "picea abies"])
def test_the_search_of_the_house_finds_a_piece(armand, words):
    piece = factories.piece(by=armand)

    assert find(words).pieces == [piece]


def test_the_search_page_shows_the_piece(client, tom, armand):
    piece = factories.piece(by=armand)
    client.force_login(tom)

    page = client.get(reverse("bench:search"), {"q": "spruce"}).text

    assert piece.get_absolute_url() in page
