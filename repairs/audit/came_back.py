"""After a restore: lines of numbers of which nobody knows yet how far they had come.

What was issued after the backup left the house with numbers that this database never gave. Only the
papers know them: a principal looks, a line at a time, before the first number of it is given.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction

from repairs.audit import marks
from repairs.audit.actions import deed, record
from repairs.audit.marks import CameBack, Marks, MarksUnreadableError
from repairs.audit.refusals import NotLookedAtError, NumberTooLowError, NumberUnreadableError
from repairs.audit.series import Series, lines, series_of

DIGITS = "0123456789"


@dataclass(frozen=True)
class Line:
    """A line of numbers that is to be looked at: its word, and the last number known here."""

    mark: str
    series: Series
    here: int

    @property
    def label(self) -> str:
        """What is numbered."""
        return str(self.series.label)

    @property
    def known(self) -> str:
        """The last number known here, as it is written; empty without one."""
        return self.written(self.here) if self.here else ""

    @property
    def example(self) -> str:
        """How a number of it is written."""
        return self.written(max(self.here, 1))

    def written(self, number: int) -> str:
        """A number of it as people read it."""
        return self.series.number(self.mark, number)

    def read(self, typed: str) -> int:
        """The number that was typed as it stands on paper, or its digits alone; 0 for nothing.

        Raises NumberUnreadableError, or NumberTooLowError below what is known here.
        """
        word = "".join(typed.split()).upper()
        digits = word[len(word.rstrip(DIGITS)) :]
        number = int(digits[:9]) if digits else 0
        if word and (not digits or word not in (digits, self.written(number).upper())):
            raise NumberUnreadableError(typed=typed.strip(), example=self.example)
        if number < self.here:
            raise NumberTooLowError(typed=typed.strip() or "—", known=self.known)
        return number

    def missing(self, number: int) -> tuple[str, str] | None:
        """The first and the last number that left the house and are not known here."""
        if number <= self.here:
            return None
        return self.written(self.here + 1), self.written(number)


def to_look_at() -> list[Line]:
    """The lines that nobody has looked at since the house came back; none in a usual house."""
    back = _came_back()
    if back is None:
        return []
    found = []
    for mark, here in lines(back.years).items():
        series = series_of(mark)
        if series is not None and mark not in back.looked_at:
            found.append(Line(mark, series, here))
    return found


def day_of_backup() -> dt.datetime | None:
    """Of when the backup is from which the house came back."""
    back = _came_back()
    return back.since if back else None


def _came_back() -> CameBack | None:
    try:
        known = marks.read()
    except MarksUnreadableError:
        return None
    return known.came_back if known else None


def require_looked_at(known: Marks | None, series: Series, mark: str) -> None:
    """Raise NotLookedAtError where a number of that line may be on a paper that nobody saw."""
    back = known.came_back if known else None
    if back is None or mark in back.looked_at:
        return
    year = series.year_of(mark)
    if year is None or year in back.years:
        raise NotLookedAtError(what=str(series.label))


@deed()
def look_at(line: Line, number: int, *, by: AbstractBaseUser, at: dt.datetime) -> None:
    """Let a line go on after the highest number that was seen on paper; the log names the gap."""
    if number > line.here:
        line.series.raise_to(line.mark, number)
    record(
        by,
        "numbers.looked_at",
        "house:1",
        at=at,
        line=line.mark,
        here=line.here,
        seen=number,
        last=line.written(number) if number else "—",
    )
    transaction.on_commit(lambda: marks.looked_at(line.mark, number))
