"""Who plays the scenario, and how its data are read: moments, days, amounts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.utils import timezone

from repairs.cases.models import Case
from repairs.people.models import User

Row = Mapping[str, Any]
Say = Callable[[str], None]


@dataclass
class Cast:
    """The people by name, the size of the pictures, and whom to tell of what was made."""

    say: Say
    size: tuple[int, int]
    people: dict[str, User] = field(default_factory=dict)

    @property
    def head(self) -> User:
        return self.people["helene"]

    def tell(self, case: Case, what: str) -> None:
        self.say(f"case {case.number}: {what}")


def moment(text: str) -> dt.datetime:
    """A moment on the shop's clock, as the data have it."""
    return timezone.make_aware(dt.datetime.fromisoformat(text))


def day(text: str | None) -> dt.date | None:
    return dt.date.fromisoformat(text) if text else None


def room(said: Iterable[str]) -> dict[str, Decimal]:
    """Temperature and humidity of the room, as fields."""
    return dict(zip(("room_t_c", "room_rh_pct"), (Decimal(part) for part in said), strict=True))


def with_decimals(said: Row, *names: str) -> dict[str, Any]:
    """The fields with those names as exact numbers; one left empty stays empty."""
    found = dict(said)
    for name in names:
        if found.get(name) is not None:
            found[name] = Decimal(found[name])
    return found
