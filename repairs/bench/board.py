"""The bench: open cases by what they wait for and by promised date."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from repairs.bench.shown import First, first
from repairs.cases.models import Case
from repairs.instruments.hazards import fill_standing
from repairs.photos.faces import with_faces

SOON_DAYS = 14


@dataclass
class Column:
    """A heap of cases under one heading, the most pressing first."""

    key: str
    title: str | Promise
    empty: str | Promise
    cases: list[Case] = field(default_factory=list)
    waiting: int = 0  # cases that belong here by their day, and lie under “Waiting”
    listed: First[Case] = field(default_factory=lambda: First("", [], 0))

    @property
    def count(self) -> int:
        """How many the heading counts: what waits was promised too."""
        return len(self.cases) + self.waiting


def board(today: dt.date, whole: str = "") -> list[Column]:
    """Sort the open cases into heaps; each case lies on exactly one.

    What waits lies under “Waiting”, also when its day is near: the heap of the near days counts
    those and says how many they are, so that nobody reads there that nothing is promised. ``whole``
    is the key of a heap to be listed to its end.
    """
    columns = {
        "late": Column("late", _("Promised and late"), _("Nothing is late.")),
        "soon": Column("soon", _("Promised within two weeks"), _("Nothing is due soon.")),
        "look": Column("look", _("To be looked over"), _("Everything has been looked over.")),
        "on": Column("on", _("Going on"), _("Nothing else is open.")),
        "waiting": Column("waiting", _("Waiting"), _("Nothing waits for anything.")),
    }
    for case in _open_cases():
        columns[_heap(case, today)].cases.append(case)
    columns["soon"].waiting = sum(_is_soon(case, today) for case in columns["waiting"].cases)
    for column in columns.values():
        column.listed = first(column.key, column.cases, whole)
    return list(columns.values())


@dataclass(frozen=True)
class Day:
    """A day to come, and how many open cases are promised for it."""

    day: dt.date
    count: int


def days(today: dt.date, board: Sequence[Column]) -> list[Day]:
    """The next fourteen days, today the first, from the cases that lie on the board."""
    promised = Counter(case.promised_on for column in board for case in column.cases)
    ahead = [today + dt.timedelta(days=number) for number in range(SOON_DAYS)]
    return [Day(day, promised[day]) for day in ahead]


def _open_cases() -> list[Case]:
    rows = list(with_faces(Case.objects.open().with_names()))
    here = Case.objects.open().values("instrument")
    fill_standing([case.instrument for case in rows], here)
    far = dt.date.max
    return sorted(rows, key=lambda case: (case.promised_on or far, case.year, case.sequence))


def _heap(case: Case, today: dt.date) -> str:
    if case.is_late(today):
        return "late"
    if case.waits_for:
        return "waiting"
    if _is_soon(case, today):
        return "soon"
    return "look" if case.step == Case.Step.TAKEN_IN else "on"


def _is_soon(case: Case, today: dt.date) -> bool:
    return bool(case.promised_on and case.promised_on <= today + dt.timedelta(days=SOON_DAYS))
