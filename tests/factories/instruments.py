"""Instruments and what is dangerous about them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.utils import timezone

from repairs.instruments import actions as instrument_actions
from repairs.instruments.hazard_actions import Known, note_hazard
from repairs.instruments.hazard_models import HazardNoted
from repairs.instruments.models import Instrument
from repairs.people.models import Client, User


def instrument(
    owner: Client, *, by: User, kind: str = "vielle_french", **fields: Any
) -> Instrument:
    said = {
        "maker": "Étienne Roussillat",
        "maker_surety": "signed",
        "place_made": "Valbrune",
        "date_text": "1771",
        "year_first": 1771,
        "year_last": 1771,
        "declared_value": Decimal("6800.00"),
    } | fields
    return instrument_actions.enter_instrument(
        Instrument(owner=owner, kind=kind, **said),
        {"body_length": Decimal("402"), "speaking_length": Decimal("345")},
        by=by,
        at=timezone.now(),
    )


def hazard(instrument: Instrument, *, by: User, key: str = "lead", **known: Any) -> HazardNoted:
    return note_hazard(instrument, key, Known(**known), by=by, at=timezone.now())
