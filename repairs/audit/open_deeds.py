"""What the deeds that are now being done will say and vouch for once the outermost is over."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import models, transaction

Touched = dict[type[models.Model], dict[int, bool]]


@dataclass(frozen=True)
class Line:
    """What a deed says of itself, until the deed is over and the line gets its place."""

    by: AbstractBaseUser | None
    verb: str
    subject: str
    at: dt.datetime
    hashed: dict[str, object]
    details: dict[str, Any]


@dataclass
class OpenDeed:
    """One deed: its lines, the rows that it wrote (or removed), the numbers that it gave out."""

    lines: list[Line] = field(default_factory=list)
    touched: Touched = field(default_factory=dict)
    numbers: dict[str, int] = field(default_factory=dict)

    def touch(self, model: type[models.Model], row: int, *, stands: bool = True) -> None:
        """Note a row that was written, or one that was removed."""
        self.touched.setdefault(model, {})[row] = stands

    def take_in(self, inner: OpenDeed) -> None:
        """What a deed inside this one did belongs to this one, once it has ended well."""
        self.lines.extend(inner.lines)
        for model, rows in inner.touched.items():
            self.touched.setdefault(model, {}).update(rows)
        self.numbers.update(inner.numbers)


def open_deeds() -> list[OpenDeed]:
    """The deeds now open on this connection, the outermost first; a connection is one thread's."""
    # On the connection and not in a context variable: a transaction belongs to a connection, and so
    # does what waits for its end. A thread of its own has both of its own.
    kept: list[OpenDeed] = transaction.get_connection().__dict__.setdefault("open_deeds", [])
    return kept


def present_deed() -> OpenDeed | None:
    """The innermost deed that is being done; None outside of one."""
    deeds = open_deeds()
    return deeds[-1] if deeds else None
