"""The store at size: thousands of pieces, tests and withdrawals; numbers are sorted as numbers."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from repairs.wood.models import Piece, Withdrawal, WoodSeries
from repairs.wood.tested_models import WoodTest
from tests import factories

MANY = 1_500
AT = dt.datetime(2026, 11, 24, 10, 0, tzinfo=dt.UTC)


def opened(client, address: str, **words: str) -> tuple[str, int]:
    with CaptureQueriesContext(connection) as queries:
        answer = client.get(address, words)
    assert answer.status_code == 200
    return answer.content.decode(), len(queries)


@pytest.fixture
def board(armand) -> Piece:
    return factories.piece(by=armand, length_mm=Decimal(4000))


def weighings_of(board: Piece, person, count: int) -> list[WoodTest]:
    made = factories.wood_test(board, by=person)
    made.pk = None
    return [
        WoodTest(**{f.attname: getattr(made, f.attname) for f in WoodTest._meta.fields[1:]})
        for _time in range(count)
    ]


def withdrawals_of(board: Piece, person, count: int) -> list[Withdrawal]:
    size = {"length_mm": 1, "width_mm": 1, "thickness_mm": 1, "volume_cm3": Decimal("0.001")}
    said = {"piece": board, "purpose": "a plug", "at": AT, "by": person}
    return [Withdrawal(number=number, **said, **size) for number in range(1, count + 1)]


def pieces(board: Piece, person, count: int) -> list[Piece]:
    said = {"material": "spruce", "entered_at": AT, "entered_by": person, "parent": board}
    size = {"length_mm": 10, "width_mm": 10, "thickness_mm": 1, "volume_cm3": Decimal("0.1")}
    made = [Piece(number=f"W-{number:04d}", **said, **size) for number in range(2, count + 2)]
    for number, piece in enumerate(made, 2):
        vars(piece)["sequence"] = number  # where the store keeps it also as a number
    return made


def test_a_piece_with_1500_withdrawals_tests_and_offcuts_opens(client, tom, armand, board):
    client.force_login(tom)
    _text, few = opened(client, reverse("wood:piece", args=[board.number]))
    Withdrawal.objects.bulk_create(withdrawals_of(board, armand, MANY))
    WoodTest.objects.bulk_create(weighings_of(board, armand, MANY))
    Piece.objects.bulk_create(pieces(board, armand, MANY))

    text, many = opened(client, reverse("wood:piece", args=[board.number]))

    assert "a plug" in text
    assert many <= few + 2


def test_a_store_of_1500_pieces_opens_in_as_many_queries(client, tom, armand, board):
    client.force_login(tom)
    Piece.objects.bulk_create(pieces(board, armand, 3))
    _text, few = opened(client, reverse("wood:list"))
    Piece.objects.exclude(pk=board.pk).delete()
    Piece.objects.bulk_create(pieces(board, armand, MANY))

    text, many = opened(client, reverse("wood:list"))

    assert "W-1501" in text
    assert many == few


def test_piece_10000_comes_before_piece_9999(client, tom, armand):
    WoodSeries.objects.create(pk=1, last=9_997)
    for _time in range(4):
        factories.piece(by=armand)

    numbers = list(Piece.objects.values_list("number", flat=True))
    client.force_login(tom)
    text, _asked = opened(client, reverse("wood:list"))

    assert numbers == ["W-10001", "W-10000", "W-9999", "W-9998"]
    places = [text.index(number) for number in numbers]
    assert places == sorted(places)
