"""What a second process does in these tests: take wood off a piece, bit by bit."""

from __future__ import annotations

import sys
from decimal import Decimal

from django.utils import timezone

from repairs.people.models import User
from repairs.wood.actions import withdraw
from repairs.wood.models import Piece, Withdrawal
from repairs.wood.refusals import NotEnoughWoodError
from tests.beside import ready

BIT = Decimal("10")


def bits(number: str, person: User, times: int) -> int:
    """Take a cubic centimetre as often as asked; return how often there was one."""
    piece, taken = Piece.objects.get(number=number), 0
    for _time in range(times):
        bit = Withdrawal(
            piece=piece, length_mm=BIT, width_mm=BIT, thickness_mm=BIT, purpose="a block"
        )
        try:
            withdraw(bit, by=person, at=timezone.now())
        except NotEnoughWoodError:
            continue
        taken += 1
    return taken


def take_bits(number: str, times: str) -> None:
    ready()
    taken = bits(number, User.objects.get(username="armand"), int(times))
    sys.stdout.write(f"{taken}\n")
