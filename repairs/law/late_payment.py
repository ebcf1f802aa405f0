"""What the law of a seller’s country lets one ask for when payment is late, and how it is said."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TypedDict

from repairs.law.rates import Words
from repairs.storage.fixtures import read_fixture


class LatePayment(TypedDict, total=False):
    """The fixed fee as an amount in words, and the texts of each letter; what is not said lacks."""

    since: str
    fee: str
    usual_rate: Words
    recall: Words
    business: Words
    consumer: Words


@cache
def laws() -> Mapping[str, LatePayment]:
    """By country, as ``books/reminders.json`` has it; the texts have French and English."""
    rows: dict[str, LatePayment] = read_fixture("books/reminders.json")
    return {country: law for country, law in rows.items() if country != "note"}
