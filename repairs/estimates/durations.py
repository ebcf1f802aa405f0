"""Minutes as people type them: “90”, “1 h 30”, “1h30”, “1:30”, “90 min”, “1,5” for hours."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from repairs.fields import QuantityField, read_decimal

MINUTES_AN_HOUR = 60
HOURS = re.compile(
    r"(?P<hours>\d+(?:[.,]\d+)?)\s*(?:h|hrs?|hours?|heures?|:)\s*(?:(?P<minutes>\d{1,2})\s*(?:mi?n)?)?",
    re.IGNORECASE,
)
MINUTES = re.compile(r"(?P<minutes>\d+)\s*(?:mi?n|minutes?|′|')", re.IGNORECASE)


def read_minutes(words: object) -> Decimal | None:
    """Whole minutes of what was typed; None when nothing was.

    A number alone is minutes; with a comma or a point it is hours. Raises ValidationError for
    what is no number at all.
    """
    text = "" if words is None else str(words).strip()
    if found := HOURS.fullmatch(text):
        return _minutes(found["hours"], found["minutes"] or "0")
    if found := MINUTES.fullmatch(text):
        return Decimal(found["minutes"])
    number = read_decimal(text)
    if number is None or number == number.to_integral_value():
        return number
    return _minutes(str(number), "0")


def _minutes(hours: str, minutes: str) -> Decimal:
    exact = Decimal(hours.replace(",", ".")) * MINUTES_AN_HOUR + Decimal(minutes)
    return exact.quantize(Decimal(1), ROUND_HALF_UP)


class MinutesField(QuantityField):
    """Minutes of work, typed as minutes or as hours."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(unit="min", least="0", most="99999", places=0, **kwargs)
        self.widget.attrs["inputmode"] = "text"

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override] # stubs: int
        return read_minutes(value)
