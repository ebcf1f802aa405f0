"""Closed cases sharpen the table: a Beta distribution of each share.

Each prior p starts as Beta(20·p, 20·(1 − p)): practice, with the weight of 20 cases. Every closed
case in which somebody said what it was adds one to its causes and one to the rest of the others;
P(symptom | cause) likewise, over the cases in which the symptom was asked for and no other cause
that was confirmed there makes it too. Source: conjugate prior of a binomial share (Gelman et al.,
*Bayesian Data Analysis*, 2.4).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import lru_cache

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.causes.table import Cause, Table

PRACTICE_CASES = 20.0
TABLES_KEPT = 16
Shares = tuple[tuple[str, "Counts"], ...]


@dataclass(frozen=True)
class Counts:
    """In how many closed cases it was so, of how many in which that was looked at."""

    confirmed: int
    cases: int

    def __post_init__(self) -> None:
        if self.confirmed < 0:
            raise GaugeInputError("negative", field="confirmed", value=self.confirmed)
        if self.confirmed > self.cases:
            raise GaugeInputError(
                "too_big", field="confirmed", value=self.confirmed, limit=self.cases
            )


@dataclass(frozen=True)
class Closed:
    """A closed case in which somebody said what it was; no cause where it was none of the table."""

    causes: frozenset[str]
    heard: frozenset[str] = frozenset()
    denied: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Practice:
    """What closed cases say: of each cause, and of each symptom of a cause that was confirmed."""

    cases: int = 0
    causes: Shares = ()
    symptoms: tuple[tuple[str, Shares], ...] = field(default=())

    def of(self, cause: str) -> Counts:
        """In how many cases it was this cause."""
        return dict(self.causes).get(cause, Counts(0, self.cases))

    def heard(self, cause: str) -> dict[str, Counts]:
        """How often each of its symptoms was heard, of the cases in which it was asked for."""
        return dict(dict(self.symptoms).get(cause, ()))


NO_PRACTICE = Practice()


def counted(table: Table, closed: Iterable[Closed]) -> Practice:
    """Count closed cases, cause by cause and symptom by symptom."""
    rows = list(closed)
    times = Counter(key for row in rows for key in row.causes)
    known = [one for one in table.causes if times[one.key]]
    return Practice(
        len(rows),
        tuple((one.key, Counts(times[one.key], len(rows))) for one in known),
        tuple((one.key, _symptoms(table, one, rows)) for one in known),
    )


def _symptoms(table: Table, cause: Cause, rows: list[Closed]) -> Shares:
    heard, asked = Counter[str](), Counter[str]()
    for row in rows:
        if cause.key not in row.causes:
            continue
        others = [one for one in table.causes if one.key in row.causes - {cause.key}]
        made = {symptom for one in others for symptom in one.symptoms}
        own = set(cause.symptoms) - made
        heard.update(own & row.heard)
        asked.update(own & (row.heard | row.denied))
    return tuple((s, Counts(heard[s], asked[s])) for s in cause.symptoms if asked[s])


def share(prior: float, counts: Counts | None) -> float:
    """Mean of the Beta distribution after the closed cases."""
    if counts is None:
        return prior
    return (PRACTICE_CASES * prior + counts.confirmed) / (PRACTICE_CASES + counts.cases)


@lru_cache(maxsize=TABLES_KEPT)
def sharpened(table: Table, practice: Practice) -> Table:
    """The table with each prior and each P of a symptom sharpened by what was confirmed."""
    if not practice.cases:
        return table
    causes = tuple(_sharper(one, practice) for one in table.causes)
    return replace(table, causes=causes, before=table.drawn)


def _sharper(cause: Cause, practice: Practice) -> Cause:
    heard = practice.heard(cause.key)
    symptoms = {key: share(p, heard.get(key)) for key, p in cause.symptoms.items()}
    return replace(cause, prior=share(cause.prior, practice.of(cause.key)), symptoms=symptoms)
