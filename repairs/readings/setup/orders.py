"""The order of a set-up, as data: its steps, what each aims at, what a change there makes void.

The orders lie in ``fixtures/setups.json``. A kind of instrument has the first one that names it, or
else the first that fits one of its families; no code names a kind.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from repairs.cases.models import Case
from repairs.instruments.pattern import Kind, Words
from repairs.language.text import in_language
from repairs.storage.fixtures import read_fixture


@dataclass(frozen=True)
class Step:
    """One step: the sheets that read it (none: by hand and eye), and the steps it makes void."""

    key: str
    label: Words
    words: Words
    sheets: tuple[str, ...]
    voids: tuple[str, ...]
    each_string: bool = False
    is_round: bool = False
    rest_hours: int = 0
    paper: str = ""

    def __str__(self) -> str:
        return in_language(self.label)

    @property
    def aim(self) -> str:
        """What is aimed at, in the reader's language."""
        return in_language(self.words)


@dataclass(frozen=True)
class Order:
    """The steps of one kind of instrument, in the order of the hands."""

    key: str
    steps: tuple[Step, ...]

    def step(self, key: str) -> Step | None:
        return next((one for one in self.steps if one.key == key), None)

    def step_of(self, gauge: str) -> Step | None:
        """The step that a sheet reads."""
        return next((one for one in self.steps if gauge in one.sheets), None)

    def voiding(self, key: str) -> tuple[str, ...]:
        """The steps at which a change makes this one void; a change at it does, too."""
        return (key, *(one.key for one in self.steps if key in one.voids))

    @property
    def sheets(self) -> tuple[str, ...]:
        return tuple(gauge for step in self.steps for gauge in step.sheets)


@cache
def _orders() -> tuple[Mapping[str, Any], ...]:
    return tuple(read_fixture("setups.json"))


def order_for(case: Case) -> Order | None:
    """The order in which an instrument of this kind is set up; None where there is none."""
    kind = case.instrument.pattern
    named = next((one for one in _orders() if kind.slug in one["kinds"]), None)
    row = named or next((one for one in _orders() if _is_family(one, kind)), None)
    return _order(row, kind) if row else None


def _is_family(row: Mapping[str, Any], kind: Kind) -> bool:
    return bool(set(row["families"]) & set(kind.families))


def _order(row: Mapping[str, Any], kind: Kind) -> Order:
    """The steps that this kind has: no dog without a trompette, no sheet that it is not read by."""
    rows = [one for one in row["steps"] if kind.fits(one["families"])]
    keys = {one["key"] for one in rows}
    return Order(row["key"], tuple(_step(one, keys, kind) for one in rows))


def _step(row: Mapping[str, Any], keys: set[str], kind: Kind) -> Step:
    return Step(
        key=row["key"],
        label=row["label"],
        words=row["words"],
        sheets=tuple(gauge for gauge in row["sheets"] if kind.sheet(gauge)),
        voids=tuple(key for key in row["voids"] if key in keys),
        each_string=row.get("each_string", False),
        is_round=row.get("is_round", False),
        rest_hours=row.get("rest_hours", 0),
        paper=row.get("paper", ""),
    )


def step_label(said: str) -> str:
    """The label of “order.step”, as the log keeps it; empty for what is no longer there."""
    key, _dot, wanted = said.partition(".")
    rows = next((one["steps"] for one in _orders() if one["key"] == key), ())
    return next((in_language(one["label"]) for one in rows if one["key"] == wanted), "")
