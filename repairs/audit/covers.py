"""What of a row may never change unseen, and how it is hashed: alike on every database."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

EXACT = 2**53  # up to here a float is every whole number


@dataclass(frozen=True)
class Cover:
    """The fields of a kind of row that a voucher covers, by name, parted by spaces.

    ``personal`` ones are hashed with a salt; ``free`` ones are not covered, since they change
    without a deed or say nothing. A cover is never edited: a new field makes a new one, and what
    was vouched for under an older cover is checked under that.
    """

    plain: str
    personal: str = ""
    free: str = ""

    @property
    def covered(self) -> tuple[str, ...]:
        """All fields that are hashed, in the order of ``digests``."""
        return (*self.plain.split(), *self.personal.split())

    def digests(self, values: Sequence[Any], salt: str) -> tuple[str, str]:
        """Digest of the plain values and of the personal ones; empty where there are none."""
        said = dict(zip(self.covered, map(settled, values), strict=True))
        plain = {name: said[name] for name in self.plain.split()}
        personal = {name: said[name] for name in self.personal.split()}
        return _digest(plain), _digest(personal, salt) if personal and salt else ""


def _digest(said: Mapping[str, Any], salt: str = "") -> str:
    text = json.dumps(said, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    # Lone surrogates, which JSON can bring along, are hashed as they are.
    return hashlib.sha256(f"{salt}\x1f{text}".encode("utf-8", "surrogatepass")).hexdigest()


def settled(value: Any) -> Any:
    """The value as JSON that is the same whichever database gave it back."""
    if value is None or isinstance(value, (bool, str)):
        return value
    if isinstance(value, Mapping):
        return {str(key): settled(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [settled(item) for item in value]
    for kind, written in _WRITTEN:
        if isinstance(value, kind):
            return written(value)
    raise TypeError(f"no voucher can cover a {type(value).__name__}")


def _number(value: float) -> int | str:
    # jsonb gives 1e22 back as a whole number, SQLite as it was written.
    exact = float(value)
    return int(value) if exact.is_integer() and abs(exact) <= EXACT else repr(exact)


_WRITTEN: tuple[tuple[Any, Callable[[Any], Any]], ...] = (
    ((int, float), _number),
    (Decimal, lambda value: f"{value:f}"),
    # A moment is a day too: it comes first.
    (dt.datetime, lambda value: value.astimezone(dt.UTC).isoformat(timespec="microseconds")),
    ((dt.date, dt.time), lambda value: value.isoformat()),
    (UUID, str),
)


def bound(rows: Iterable[tuple[str, int, int, str, str]]) -> str:
    """The digest that a line keeps of its vouchers: table, row, cover, and both digests of each."""
    lines = sorted(" ".join(map(str, row)) for row in rows)
    return hashlib.sha256("\n".join(lines).encode()).hexdigest() if lines else ""
