"""Write the log: deeds, their lines, and what the lines vouch for."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import secrets
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser
from django.db import transaction
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from repairs.audit import marks
from repairs.audit.covers import bound
from repairs.audit.marks import NO_LINE, Mark, Risen, newest_files
from repairs.audit.models import LogEntry, LogHead, LogSalt, Voucher
from repairs.audit.open_deeds import Line, OpenDeed, open_deeds, present_deed
from repairs.audit.told import told
from repairs.audit.vouching import as_bound, vouchers_of

_before_the_end: list[Callable[[], None]] = []


def before_the_end(act: Callable[[], None]) -> None:
    """Have that done inside the transaction of every outermost deed, before its lines are written.

    For what must be kept if and only if the deed is; what it raises undoes the deed.
    """
    _before_the_end.append(act)


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
        mine = OpenDeed()
        deeds = open_deeds()
        deeds.append(mine)
        try:
            yield
        finally:
            deeds.pop()
        if deeds:
            deeds[-1].take_in(mine)
        else:
            for act in _before_the_end:
                act()
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
    present = present_deed()
    if present is None:
        raise RuntimeError("record() belongs inside the deed() that it records.")
    present.lines.append(Line(by, verb, subject_key(subject), at, dict(hashed or {}), details))


def _write(done: OpenDeed) -> None:
    """Chain the lines of a deed to the end of the log; locks its head until the transaction ends.

    The last of them vouches for all rows that the deed wrote, whoever wrote them; a deed that said
    nothing gets a line for that.
    """
    vouchers = vouchers_of(done.touched)
    lines = done.lines or [_unsaid(one) for one in vouchers[:1]]
    if not lines:
        return
    # The one row that every writer in the house takes; held for the few inserts below and never
    # over anything slow.
    head, _created = LogHead.objects.select_for_update().get_or_create(pk=1)
    before = Mark(head.seq, head.hash)
    _append(head, lines, vouchers)
    head.save(update_fields=["seq", "hash"])
    risen = Risen(before, Mark(head.seq, head.hash), done.numbers, newest_files(done.touched))
    transaction.on_commit(partial(marks.rise, risen))


def _append(head: LogHead, lines: list[Line], vouchers: list[Voucher]) -> None:
    """Write the lines after that head, which moves on, and the vouchers with the last of them."""
    entries, salts = [], []
    for line in lines:
        vouched = bound(map(as_bound, vouchers)) if line is lines[-1] else ""
        entry, salt = _chained(line, head, vouched)
        entries.append(entry)
        if line.hashed:
            salts.append(LogSalt(entry=entry, value=salt))
        head.seq, head.hash = entry.seq, entry.hash
    for one in vouchers:
        one.entry = entries[-1]
    LogEntry.objects.bulk_create(entries)
    LogSalt.objects.bulk_create(salts)
    Voucher.objects.bulk_create(vouchers)


def _unsaid(voucher: Voucher) -> Line:
    return Line(None, "rows.vouched", f"{voucher.table}:{voucher.row}", timezone.now(), {}, {})


def _chained(line: Line, head: LogHead, vouched: str) -> tuple[LogEntry, str]:
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
        vouched=vouched,
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
    # Lines of before there were vouchers keep the hash that they had.
    if entry.vouched:
        body["vouched"] = entry.vouched
    # Sorted and without spaces, since jsonb does not keep the order of keys.
    text = json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


@dataclass(frozen=True)
class ChainFault:
    """The first line at which the chain of hashes breaks, and how."""

    seq: int
    what: str | Promise


def chain_faults() -> Iterator[ChainFault]:
    """Walk the whole log and yield every place where it is not what was written."""
    expected_seq, previous = 1, NO_LINE
    # Row by row: a log of thirty years does not fit into memory at once.
    for entry in LogEntry.objects.order_by("seq").iterator():
        if entry.seq != expected_seq:
            yield ChainFault(entry.seq, told(_("line %(line)s is missing"), line=expected_seq))
        if entry.previous_hash != previous:
            yield ChainFault(entry.seq, _("it does not follow from the line before"))
        if not _is_as_hashed(entry):
            yield ChainFault(entry.seq, _("its content was changed"))
        expected_seq, previous = entry.seq + 1, entry.hash
    head = LogHead.objects.filter(pk=1).first()
    # Whoever cuts lines off the end leaves a chain that follows; only the head knows how long it
    # was.
    if head is None and expected_seq > 1:
        yield ChainFault(expected_seq - 1, _("the end of the chain is missing"))
    if head and (head.seq != expected_seq - 1 or head.hash != previous):
        yield ChainFault(head.seq, _("lines at the end are missing, or were added unseen"))


def _is_as_hashed(entry: LogEntry) -> bool:
    try:
        return line_hash(entry) == entry.hash
    except (AttributeError, TypeError, ValueError):  # SQLite keeps any text in any column
        return False
