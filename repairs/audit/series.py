"""The lines of numbers of the house: each room tells of its own, so that none ever returns."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db import models
from django.utils.functional import Promise

PART = "/"


@dataclass(frozen=True)
class Series:
    """A room's table of last numbers: its ``keys`` name a line, its column ``last`` the number.

    ``shown`` writes a number as people read it, given the keys of its line.
    """

    name: str
    label: str | Promise
    model: type[models.Model]
    keys: tuple[str, ...]
    shown: Callable[..., str]

    def known(self) -> dict[str, int]:
        """The last number of each line, as the database has it, by the word of the marks."""
        rows = self.model._base_manager.values_list(*self.keys, "last")
        return {self.mark(*keys): last for *keys, last in rows}

    def mark(self, *keys: Any) -> str:
        """By which word the marks keep a line."""
        return PART.join(map(str, (self.name, *keys)))

    def number(self, mark: str, number: int) -> str:
        """A number of the line that the word means, as it is written."""
        return self.shown(*mark.split(PART)[1:], number)

    def raise_to(self, mark: str, number: int) -> None:
        """Let the line go on after that number; inside a deed."""
        where: dict[str, Any] = dict(zip(self.keys, mark.split(PART)[1:], strict=True))
        rows = self.model._base_manager
        rows.get_or_create(**where)
        row: Any = rows.select_for_update().get(**where)
        row.last = max(row.last, number)
        row.save(update_fields=["last"])


_SERIES: dict[str, Series] = {}


def register(one: Series) -> Series:
    """Make the numbers of a room known to the marks."""
    _SERIES[one.name] = one
    return one


def series_of(mark: str) -> Series | None:
    """The series that a word of the marks means; None where no room has it any more."""
    return _SERIES.get(mark.partition(PART)[0])


def known() -> dict[str, int]:
    """The last number of every line, as the database has it."""
    return {mark: last for one in _SERIES.values() for mark, last in one.known().items()}
