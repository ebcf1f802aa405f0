"""The lines of numbers of the house: each room tells of its own, so that none ever returns."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django.db import DEFAULT_DB_ALIAS, models
from django.utils.functional import Promise

PART, YEAR = "/", "year"


@dataclass(frozen=True)
class Series:
    """A room's table of last numbers: its ``keys`` name a line, its column ``last`` the number.

    ``shown`` writes a number as people read it, given the keys of its line. ``usual`` says which
    lines there are before any number was given: the values of the keys, but for the year.
    """

    name: str
    label: str | Promise
    model: type[models.Model]
    keys: tuple[str, ...]
    shown: Callable[..., str]
    usual: Callable[[], Iterable[tuple[object, ...]]]

    def known(self, using: str = DEFAULT_DB_ALIAS) -> dict[str, int]:
        """The last number of each line, as the database has it, by the word of the marks."""
        rows = self.model._base_manager.using(using).values_list(*self.keys, "last")
        return {self.mark(*keys): last for *keys, last in rows}

    def mark(self, *keys: Any) -> str:
        """By which word the marks keep a line."""
        return PART.join(map(str, (self.name, *keys)))

    def year_of(self, mark: str) -> int | None:
        """The year whose numbers the line holds; None where it goes on for ever."""
        said = dict(zip(self.keys, mark.split(PART)[1:], strict=True))
        return int(said[YEAR]) if YEAR in said else None

    def lines(self, years: range) -> dict[str, int]:
        """The last number of each line in which numbers may have been given in those years."""
        known = self.known()
        others = {tuple(map(str, keys)) for keys in self.usual()}
        others |= {self._without_year(mark) for mark in known}
        spans = [years] if YEAR in self.keys else [range(1)]
        marks = {self._with_year(keys, year) for keys in others for span in spans for year in span}
        return {mark: known.get(mark, 0) for mark in sorted(marks)}

    def _without_year(self, mark: str) -> tuple[str, ...]:
        said = zip(self.keys, mark.split(PART)[1:], strict=True)
        return tuple(value for key, value in said if key != YEAR)

    def _with_year(self, keys: tuple[str, ...], year: int) -> str:
        left = iter(keys)
        return self.mark(*(year if key == YEAR else next(left) for key in self.keys))

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


def known(using: str = DEFAULT_DB_ALIAS) -> dict[str, int]:
    """The last number of every line, as the database has it."""
    return {mark: last for one in _SERIES.values() for mark, last in one.known(using).items()}


def lines(years: range) -> dict[str, int]:
    """The last number of every line in which numbers may have been given in those years."""
    return {mark: last for one in _SERIES.values() for mark, last in one.lines(years).items()}
