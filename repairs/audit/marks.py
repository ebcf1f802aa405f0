"""High-water marks: how far log, numbers and files had come, in a file beside the store.

The database cannot know that it is an older copy of itself; a file that was not restored with it
does. It is written after each commit, whole or not at all, and forced to the disk when a number
was given out. A file that lags behind the database is no harm, one that is ahead stops all issuing.
Whoever puts the whole folder back, this file with it, is not found out here: only by a head of the
log that was kept elsewhere.
"""

from __future__ import annotations

import datetime as dt
import fcntl
import json
import logging
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from repairs.audit import series
from repairs.audit.models import LogEntry, LogHead
from repairs.audit.open_deeds import Touched
from repairs.storage import files as store

FORMAT, NAME = "sautereau-high-water/1", "high-water.json"
NO_LINE = "0" * 64
FILES = ("paper", "original")  # rows that name a file of the store
log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Mark:
    """A place in the log: the number of a line and its hash."""

    seq: int
    sha256: str


@dataclass(frozen=True)
class CameBack:
    """The house came back from a backup: what was numbered between these moments nobody knows,
    until a principal has looked at the newest papers of a line."""

    since: dt.datetime
    until: dt.datetime
    looked_at: tuple[str, ...] = ()

    @property
    def years(self) -> range:
        """The years in which numbers may have been given that are not known."""
        return range(self.since.year, self.until.year + 1)


@dataclass(frozen=True)
class Marks:
    """How far everything had come: the last line, the last number of each series, the last row of
    each kind that names a file."""

    line: Mark
    numbers: Mapping[str, int] = field(default_factory=dict)
    files: Mapping[str, int] = field(default_factory=dict)
    came_back: CameBack | None = None


@dataclass(frozen=True)
class Risen:
    """What one deed added: from which line to which, and the numbers and files that it made."""

    before: Mark
    after: Mark
    numbers: Mapping[str, int]
    files: Mapping[str, int]


class MarksUnreadableError(Exception):
    """The file is there and says nothing that can be understood."""


def place() -> Path:
    """Where the marks lie: beside the store, not in it and not in the database."""
    return store.root().parent / NAME


def read() -> Marks | None:
    """The marks; None where none were ever written. Raises MarksUnreadableError."""
    try:
        text = place().read_text(encoding="utf-8")
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as fault:
        raise MarksUnreadableError(str(fault)) from fault
    return understood(text)


def understood(text: str) -> Marks:
    """The marks that a text tells. Raises MarksUnreadableError."""
    try:
        told = json.loads(text)
        line = Mark(int(told["line"]["seq"]), str(told["line"]["sha256"]))
        back = told.get("came_back")
        came_back = back and CameBack(
            dt.datetime.fromisoformat(back["since"]),
            dt.datetime.fromisoformat(back["until"]),
            tuple(map(str, back["looked_at"])),
        )
        return Marks(line, _counts(told["numbers"]), _counts(told["files"]), came_back or None)
    except (ValueError, KeyError, TypeError, AttributeError) as fault:
        raise MarksUnreadableError(str(fault)) from fault


def as_text(marks: Marks) -> str:
    """The marks as the file tells them; ``understood`` reads it."""
    told: dict[str, Any] = {
        "format": FORMAT,
        "line": {"seq": marks.line.seq, "sha256": marks.line.sha256},
        "numbers": dict(sorted(marks.numbers.items())),
        "files": dict(sorted(marks.files.items())),
    }
    if back := marks.came_back:
        told["came_back"] = {
            "since": back.since.isoformat(),
            "until": back.until.isoformat(),
            "looked_at": sorted(back.looked_at),
        }
    return json.dumps(told, indent=1)


def _counts(told: Mapping[str, Any]) -> dict[str, int]:
    return {str(name): int(count) for name, count in told.items()}


def newest_files(touched: Touched) -> dict[str, int]:
    """The last row of each kind that names a file, among those that a deed wrote."""
    rows = {str(model._meta.model_name): list(rows) for model, rows in touched.items()}
    return {name: max(rows[name]) for name in FILES if rows.get(name)}


def rise(risen: Risen) -> None:
    """Raise the marks by what a deed did, after its commit. A fault is told in the server's log:
    the deed is done, and the next one raises them too."""

    with _told_only(), _alone():
        # The first time, the numbers that the database knows are taken over.
        known = read() or Marks(risen.before, series.known())
        # The line only where it goes on from what is known; else the database is another one.
        line = risen.after if _goes_on(known.line, risen) else known.line
        numbers = _most(known.numbers, risen.numbers)
        if known.line != risen.before and line == risen.after:
            # What stood between was never marked: a process ended between a commit and its mark.
            numbers = _most(numbers, series.known())
        risen_to = replace(known, line=line, numbers=numbers, files=_most(known.files, risen.files))
        _write(risen_to, is_forced=bool(risen.numbers))


def catch_up(head: Mark) -> None:
    """At the start of a server whose database is level: mark what was committed and not marked."""
    with _told_only(), _alone():
        known = read() or Marks(head)
        if follows(known.line):
            numbers = _most(known.numbers, series.known())
            _write(replace(known, line=head, numbers=numbers), is_forced=True)


def begin_anew(line: Mark) -> None:
    """The house goes on from a database that was behind: from this line on, numbers as they are."""
    with _told_only(), _alone():
        try:
            known = read() or Marks(line)
        except MarksUnreadableError:
            known = Marks(line)
        numbers = _most(known.numbers, series.known())
        _write(Marks(line, numbers, came_back=known.came_back), is_forced=True)


def looked_at(mark: str, number: int) -> None:
    """A principal has looked at the newest papers of a line: it goes on after that number."""
    with _told_only(), _alone():
        known = read()
        if known is not None and known.came_back is not None:
            back = known.came_back
            back = replace(back, looked_at=tuple({*back.looked_at, mark}))
            numbers = _most(known.numbers, {mark: number})
            _write(replace(known, numbers=numbers, came_back=back), is_forced=True)


def of_rows(using: str, *, carried: Marks | None, since: dt.datetime, until: dt.datetime) -> Marks:
    """The marks of a database that came back from a backup of ``since``: what its rows know, and
    what was known beside the house already when that backup was made."""
    known = carried or Marks(Mark(0, NO_LINE))
    heads = LogHead.objects.using(using).values_list("seq", "hash")
    line = next((Mark(seq, digest) for seq, digest in heads), Mark(0, NO_LINE))
    first = min(since, known.came_back.since) if known.came_back else since
    numbers = _most(known.numbers, series.known(using))
    return Marks(line, numbers, came_back=CameBack(first, until))


def _goes_on(known: Mark, risen: Risen) -> bool:
    if known == risen.before:
        return True
    if not known.seq <= risen.before.seq:
        return False
    # The file lags: a crash came between a commit and its mark, or two deeds ended at once.
    return follows(known)


def follows(known: Mark) -> bool:
    """Whether the log of this database has that line."""
    if known.seq == 0:
        return known.sha256 == NO_LINE
    return LogEntry.objects.filter(seq=known.seq, hash=known.sha256).exists()


def _most(one: Mapping[str, int], other: Mapping[str, int]) -> dict[str, int]:
    return {key: max(one.get(key, 0), other.get(key, 0)) for key in {**one, **other}}


@contextmanager
def _told_only() -> Iterator[None]:
    """What stands in the way is told in the server's log: the deed is done all the same."""
    try:
        yield
    except MarksUnreadableError as fault:
        log.error("The high-water marks at %s cannot be read: %s", place(), fault)
    except OSError as fault:
        log.error("The high-water marks at %s cannot be written: %s", place(), fault)


@contextmanager
def _alone() -> Iterator[None]:
    """One at a time, of all threads and processes of this machine."""
    target = place()
    target.parent.mkdir(parents=True, exist_ok=True)
    with target.with_suffix(".lock").open("a") as handle:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield  # closing the file gives the lock back


def _write(marks: Marks, *, is_forced: bool) -> None:
    target = place()
    draft = target.with_suffix(".part")
    with draft.open("w", encoding="utf-8") as handle:
        handle.write(as_text(marks))
        if is_forced:
            handle.flush()
            os.fsync(handle.fileno())
    draft.replace(target)
    if is_forced:
        # The new name too: else a power cut may bring the former file back.
        store.sync(target.parent)
