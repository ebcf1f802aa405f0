"""Write the log, read it back, and check that nobody touched it."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import secrets
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from repairs.audit.models import LogEntry, LogHead, LogSalt


def record(
    by: Any,
    verb: str,
    subject: object,
    *,
    at: dt.datetime,
    hashed: Mapping[str, object] | None = None,
    **details: Any,
) -> LogEntry:
    """Append one line to the log, inside the caller's transaction, as its last write.

    ``subject`` is written as ``kind:id``. ``details`` must be free of personal values; those go
    to ``hashed``, of which only salted SHA-256 values are kept, so that a later check can tell
    whether a value is the one that stood there.
    """
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("record() belongs inside the transaction of the deed that it records.")
    salt = secrets.token_hex(16)
    if hashed:
        details["hashed"] = {name: salted(salt, value) for name, value in hashed.items()}
    head, _created = LogHead.objects.select_for_update().get_or_create(pk=1)
    entry = LogEntry(
        seq=head.seq + 1,
        at=at,
        actor=by,
        verb=verb,
        subject=subject_key(subject),
        details=details,
        previous_hash=head.hash,
    )
    entry.hash = line_hash(entry)
    entry.save(force_insert=True)
    if hashed:
        LogSalt.objects.create(entry=entry, value=salt)
    head.seq, head.hash = entry.seq, entry.hash
    head.save(update_fields=["seq", "hash"])
    return entry


def subject_key(subject: object) -> str:
    """Return the subject's own ``log_key``, or ``kind:id``; a string passes as it is."""
    if isinstance(subject, str):
        return subject
    if own := getattr(subject, "log_key", ""):
        return str(own)
    return f"{type(subject).__name__.lower()}:{getattr(subject, 'pk', '')}"


def salted(salt: str, value: object) -> str:
    return hashlib.sha256(f"{salt}\x1f{value}".encode()).hexdigest()


def line_hash(entry: LogEntry) -> str:
    """SHA-256 over the canonical JSON of the line (sorted keys, UTC, no spaces) and its parent."""
    body = {
        "seq": entry.seq,
        "at": entry.at.astimezone(dt.UTC).isoformat(timespec="microseconds"),
        "actor": entry.actor_id,
        "verb": entry.verb,
        "subject": entry.subject,
        "details": entry.details,
        "previous": entry.previous_hash,
    }
    text = json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


@dataclass(frozen=True)
class ChainFault:
    seq: int
    what: str


def chain_faults() -> Iterator[ChainFault]:
    """Walk the whole log and yield every place where it is not what was written."""
    expected_seq, previous = 1, "0" * 64
    for entry in LogEntry.objects.order_by("seq").iterator(chunk_size=2000):
        if entry.seq != expected_seq:
            yield ChainFault(entry.seq, f"line {expected_seq} is missing")
        if entry.previous_hash != previous:
            yield ChainFault(entry.seq, "it does not follow from the line before")
        if line_hash(entry) != entry.hash:
            yield ChainFault(entry.seq, "its content was changed")
        expected_seq, previous = entry.seq + 1, entry.hash
    head = LogHead.objects.filter(pk=1).first()
    if head is None and expected_seq > 1:
        yield ChainFault(expected_seq - 1, "the end of the chain is missing")
    if head and (head.seq != expected_seq - 1 or head.hash != previous):
        yield ChainFault(head.seq, "lines at the end are missing, or were added unseen")
