"""Whether the database is as far as the marks beside the files, and how to go on when it is not."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.db.models import Max

from repairs.audit import marks
from repairs.audit.actions import deed, record
from repairs.audit.anchors import as_mark, current_head
from repairs.audit.came_back import require_looked_at
from repairs.audit.head import Head
from repairs.audit.marks import Marks, MarksUnreadableError, Risen
from repairs.audit.open_deeds import present_deed
from repairs.audit.refusals import BehindMarksError
from repairs.audit.series import Series, known, series_of
from repairs.audit.vouched import vouched_models


@dataclass(frozen=True)
class Lost:
    """A line of numbers of which the marks know more than the database."""

    mark: str
    known: int
    here: int

    @property
    def series(self) -> Series | None:
        """Whose numbers they are; None where no room has them any more."""
        return series_of(self.mark)

    @property
    def label(self) -> str:
        """What is numbered."""
        return str(self.series.label) if self.series else self.mark

    @property
    def numbers(self) -> tuple[str, str]:
        """The first and the last number that the database does not know."""
        ends = (self.here + 1, self.known)
        written = self.series.number if self.series else _bare
        return written(self.mark, ends[0]), written(self.mark, ends[1])

    @property
    def count(self) -> int:
        """How many numbers they are."""
        return self.known - self.here


def _bare(_mark: str, number: int) -> str:
    return str(number)


@dataclass(frozen=True)
class Behind:
    """What was known beside the files and is not in the database."""

    head: Head
    known: Marks | None  # None: the file cannot be read
    numbers: tuple[Lost, ...] = ()
    files: tuple[Lost, ...] = ()
    reaches: bool = False  # the line of the marks is in this log; only numbers are missing

    @property
    def lines(self) -> int:
        """How many lines of the log are missing at the end; 0 where it is another log."""
        return max(0, self.known.line.seq - self.head.seq) if self.known else 0


def is_level() -> bool:
    """Whether the log goes at least as far as the marks say; one small question."""
    try:
        # The marks first: whatever they know was committed before the head is asked for.
        known_marks = marks.read()
    except MarksUnreadableError:
        return False
    return known_marks is None or _reaches(current_head(), known_marks)


def _reaches(head: Head, known_marks: Marks) -> bool:
    line = known_marks.line
    if head.seq < line.seq:
        return False
    return as_mark(head) == line or marks.follows(line)


def behind() -> Behind | None:
    """What is missing, in full; None when nothing is."""
    try:
        known_marks = marks.read()
    except MarksUnreadableError:
        return Behind(current_head(), None)
    if known_marks is None:
        return None
    head = current_head()
    numbers, reaches = tuple(_numbers(known_marks)), _reaches(head, known_marks)
    if reaches and not numbers:
        return None
    return Behind(head, known_marks, numbers, tuple(_files(known_marks)), reaches)


def _numbers(known_marks: Marks) -> Iterator[Lost]:
    here = known()
    for mark, number in known_marks.numbers.items():
        if number > here.get(mark, 0):
            yield Lost(mark, number, here.get(mark, 0))


def _files(known_marks: Marks) -> Iterator[Lost]:
    tables = vouched_models()
    for name, row in known_marks.files.items():
        last = tables[name]._base_manager.aggregate(last=Max("pk"))["last"] or 0
        if row > last:
            yield Lost(name, row, last)


def require_level() -> None:
    """Raise BehindMarksError where the database is older than what lies beside the files."""
    if not is_level():
        raise BehindMarksError


def took(series: Series, *keys: object, number: int) -> None:
    """Say that a number was given out: the marks keep it from the commit on.

    Raises BehindMarksError when it was given out before, or may have been.
    """
    require_level()
    mark = series.mark(*keys)
    known_marks = marks.read()
    require_looked_at(known_marks, series, mark)
    if known_marks and number <= known_marks.numbers.get(mark, 0):
        raise BehindMarksError
    if (present := present_deed()) is not None:
        present.numbers[mark] = number
        return
    line = as_mark(current_head())
    transaction.on_commit(partial(marks.rise, Risen(line, line, {mark: number}, {})))


@deed()
def go_on(*, by: AbstractBaseUser, at: dt.datetime) -> None:
    """Go on from this database although more was known: after the higher number of each series.

    The line that says so keeps what was known, so that an anchor of a lost line can be understood.
    """
    found = behind()
    if found is None:
        return
    for lost in found.numbers:
        if lost.series is not None:
            lost.series.raise_to(lost.mark, lost.known)
    line = found.known.line if found.known else None
    record(
        by,
        "house.went_on",
        "house:1",
        at=at,
        line=line.seq if line else None,
        sha256=line.sha256 if line else "",
        numbers={lost.mark: [lost.here, lost.known] for lost in found.numbers},
        files={lost.mark: [lost.here, lost.known] for lost in found.files},
    )
    transaction.on_commit(lambda: marks.begin_anew(as_mark(current_head())))
