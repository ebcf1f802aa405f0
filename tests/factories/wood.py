"""Pieces of the store, what is taken off them, and their tests."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.utils import timezone

from repairs.people.models import User
from repairs.wood import actions as wood_actions
from repairs.wood.models import Piece, Withdrawal
from repairs.wood.tested_models import WoodTest


def piece(*, by: User, **fields: Any) -> Piece:
    """A spruce board of 400 cm³, quarter-sawn; fields as changed."""
    said = {
        "form": "board",
        "material": "spruce",
        "cut": "quarter",
        "length_mm": Decimal("500"),
        "width_mm": Decimal("200"),
        "thickness_mm": Decimal("4"),
        "place": "Rack 3",
    } | fields
    return wood_actions.enter_piece(Piece(**said), by=by, at=timezone.now())


def withdrawal(piece: Piece, *, by: User, **fields: Any) -> Withdrawal:
    """40 cm³ of the board."""
    said = {
        "length_mm": Decimal("100"),
        "width_mm": Decimal("100"),
        "thickness_mm": Decimal("4"),
        "purpose": "cleats",
    } | fields
    return wood_actions.withdraw(Withdrawal(piece=piece, **said), by=by, at=timezone.now())


def wood_test(piece: Piece, *, by: User, **fields: Any) -> WoodTest:
    """A spruce strip of 400 kg/m³, tapped."""
    said = {
        "taken_on": dt.date(2026, 11, 20),
        "length_mm": Decimal("400"),
        "width_mm": Decimal("50"),
        "thickness_mm": Decimal("2.7"),
        "mass_g": Decimal("21.6"),
        "tap_f_hz": Decimal("92"),
    } | fields
    return wood_actions.test_piece(WoodTest(piece=piece, **said), by=by, at=timezone.now())
