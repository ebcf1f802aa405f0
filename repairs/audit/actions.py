"""Write the log, read it back, and check that nobody touched it."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import secrets
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction

from repairs.audit.models import LogEntry, LogHead, LogSalt

_before_the_end: list[Callable[[], None]] = []


def before_the_end(act: Callable[[], None]) -> None:
    """Have that done inside the transaction of every outermost deed, before its lines are written.

    For what must be kept if and only if the deed is; what it raises undoes the deed.
    """
    _before_the_end.append(act)


@dataclass(frozen=True)
class _Line:
    """What a deed says of itself, until the deed is over and the line gets its place."""

    by: AbstractBaseUser | None
    verb: str
    subject: str
    at: dt.datetime
    hashed: dict[str, object]
    details: dict[str, Any]


@contextmanager
def deed() -> Iterator[None]:
    """One deed of the workshop: all its rows and all its lines, or nothing.

    ``record`` collects lines; the outermost deed writes them, in their order, as the last thing
    before its transaction ends. So the head of the chain is always locked last, whoever calls
    whom, and two deeds cannot wait for one another there. An inner deed that fails drops its own
    lines, as it drops its own rows. Also a decorator: ``@deed()``.
    """
    # The list of lines is pushed inside the transaction: what rolls back must forget its lines with
    # its rows.
    with transaction.atomic():
        mine: list[_Line] = []
        open_deeds = _open_deeds()
        open_deeds.append(mine)
        try:
            yield
        finally:
            open_deeds.pop()
        if open_deeds:
            open_deeds[-1].extend(mine)
            return
        for act in _before_the_end:
            act()
        if mine:
            _write(mine)


def record(
    by: AbstractBaseUser | None,
    verb: str,
    subject: object,
    *,
    at: dt.datetime,
    hashed: Mapping[str, object] | None = None,
    **details: Any,
) -> None:
    """Say one line of the deed that is being done; it stands in the log when that deed ends.

    ``subject`` is written as ``kind:id``. ``details`` must be free of personal values; those go
    to ``hashed``, of which only salted SHA-256 values are kept, so that a later check can tell
    whether a value is the one that stood there. Raises RuntimeError outside a deed.
    """
    open_deeds = _open_deeds()
    if not open_deeds:
        raise RuntimeError("record() belongs inside the deed() that it records.")
    open_deeds[-1].append(_Line(by, verb, subject_key(subject), at, dict(hashed or {}), details))


def _open_deeds() -> list[list[_Line]]:
    """The deeds now open on this connection, the outermost first; a connection is one thread's."""
    # On the connection and not in a context variable: a transaction belongs to a connection, and so
    # does what waits for its end. A thread of its own has both of its own.
    kept: list[list[_Line]] = transaction.get_connection().__dict__.setdefault("open_deeds", [])
    return kept


def _write(lines: list[_Line]) -> None:
    """Chain the lines to the end of the log; locks its head until the transaction ends."""
    # The one row that every writer in the house takes; held for the few inserts below and never
    # over anything slow.
    head, _created = LogHead.objects.select_for_update().get_or_create(pk=1)
    entries, salts = [], []
    for line in lines:
        entry, salt = _chained(line, head)
        entries.append(entry)
        if line.hashed:
            salts.append(LogSalt(entry=entry, value=salt))
        head.seq, head.hash = entry.seq, entry.hash
    LogEntry.objects.bulk_create(entries)
    LogSalt.objects.bulk_create(salts)
    head.save(update_fields=["seq", "hash"])


def _chained(line: _Line, head: LogHead) -> tuple[LogEntry, str]:
    """The line after that head, with the salt of its hashed values."""
    # A salt a line: names are few, and one salt for all would let a table of names be tried once.
    salt = secrets.token_hex(16)
    details = dict(line.details)
    if line.hashed:
        details["hashed"] = {name: salted(salt, value) for name, value in line.hashed.items()}
    entry = LogEntry(
        seq=head.seq + 1,
        at=line.at,
        actor_id=line.by.pk if line.by else None,
        verb=line.verb,
        subject=line.subject,
        details=details,
        previous_hash=head.hash,
    )
    entry.hash = line_hash(entry)
    return entry, salt


def subject_key(subject: object) -> str:
    """Return the subject's own ``log_key``, or ``kind:id``; a string passes as it is."""
    if isinstance(subject, str):
        return subject
    if own := getattr(subject, "log_key", ""):
        return str(own)
    return f"{type(subject).__name__.lower()}:{getattr(subject, 'pk', '')}"


def salted(salt: str, value: object) -> str:
    """SHA-256 of the salt and the value, hex: held against a name later, it says yes or no."""
    return hashlib.sha256(f"{salt}\x1f{value}".encode()).hexdigest()


def line_hash(entry: LogEntry) -> str:
    """SHA-256 over the canonical JSON of the line (sorted keys, UTC, no spaces) and its parent."""
    body = {
        "seq": entry.seq,
        # In UTC and to the microsecond: PostgreSQL gives times back in the session's zone, SQLite
        # as text, and both must hash alike for thirty years.
        "at": entry.at.astimezone(dt.UTC).isoformat(timespec="microseconds"),
        "actor": entry.actor_id,
        "verb": entry.verb,
        "subject": entry.subject,
        "details": entry.details,
        "previous": entry.previous_hash,
    }
    # Sorted and without spaces, since jsonb does not keep the order of keys.
    text = json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


@dataclass(frozen=True)
class ChainFault:
    """The first line at which the chain of hashes breaks, and how."""

    seq: int
    what: str


def chain_faults() -> Iterator[ChainFault]:
    """Walk the whole log and yield every place where it is not what was written."""
    expected_seq, previous = 1, "0" * 64
    # Row by row: a log of thirty years does not fit into memory at once.
    for entry in LogEntry.objects.order_by("seq").iterator():
        if entry.seq != expected_seq:
            yield ChainFault(entry.seq, f"line {expected_seq} is missing")
        if entry.previous_hash != previous:
            yield ChainFault(entry.seq, "it does not follow from the line before")
        if line_hash(entry) != entry.hash:
            yield ChainFault(entry.seq, "its content was changed")
        expected_seq, previous = entry.seq + 1, entry.hash
    head = LogHead.objects.filter(pk=1).first()
    # Whoever cuts lines off the end leaves a chain that follows; only the head knows how long it
    # was.
    if head is None and expected_seq > 1:
        yield ChainFault(expected_seq - 1, "the end of the chain is missing")
    if head and (head.seq != expected_seq - 1 or head.hash != previous):
        yield ChainFault(head.seq, "lines at the end are missing, or were added unseen")
