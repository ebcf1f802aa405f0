"""The files of the store into an entry: what did not change is linked, the rest copied and hashed.

A file that has the name, size and time that the former entry knows is not read again. So that
rot of the backup's own disk is seen all the same, a ninetieth of them is, each day another one.
"""

from __future__ import annotations

import datetime as dt
import zlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from repairs.keep.entries import Known
from repairs.keep.payload import Payload
from repairs.keep.stored import Stored, place_of, promised_digest
from repairs.storage import files as store

TURN_DAYS = 90


@dataclass
class Files:
    """What lies in the entry, how much of it was copied, and what the store holds wrongly."""

    known: dict[str, Known] = field(default_factory=dict)
    copied_n: int = 0
    damaged: list[str] = field(default_factory=list)


def carry(
    listed: Iterable[Stored],
    payload: Payload,
    former: Path | None,
    known: dict[str, Known],
    at: dt.datetime,
) -> Files:
    """Bring each file into the entry."""
    files, day = Files(), at.toordinal()
    for one in listed:
        before = known.get(one.name)
        if former and before and _is_same(one, before) and _linked(payload, former, before, day):
            files.known[one.name] = before
            continue
        _copy(one, payload, files, former, before)
    return files


def _is_same(one: Stored, before: Known) -> bool:
    return one.size == before.size and one.mtime_ns == before.mtime_ns


def _linked(payload: Payload, former: Path, before: Known, day: int) -> bool:
    is_turn = zlib.crc32(before.stored.encode()) % TURN_DAYS == day % TURN_DAYS
    if is_turn and not _is_whole(former / before.stored, before):
        return False
    return payload.link(former, before.stored, before.stored_sha256, before.stored_size)


def _is_whole(path: Path, before: Known) -> bool:
    return path.is_file() and store.sha256_of(path) == before.stored_sha256


def _copy(
    one: Stored, payload: Payload, files: Files, former: Path | None, before: Known | None
) -> None:
    key = payload.key
    name = key.stored(one.name, one.size, one.mtime_ns) if key else place_of(one.name)
    try:
        source = open(one.path, "rb")  # noqa: PTH123, SIM115 - closed below; gone is no fault
    except FileNotFoundError:  # swept meanwhile; one that a row names is told as missing
        return
    with source:
        digest, own, size = payload.put(name, source)
    files.copied_n += 1
    # By the bytes that were read: a file in use may have grown since it was listed.
    files.known[one.name] = Known(one.size, one.mtime_ns, digest, name, own, size)
    promised = promised_digest(one.name)
    if promised and promised != digest:
        files.damaged.append(one.name)
        _take_former(one, payload, files, former, before)


def _take_former(
    one: Stored, payload: Payload, files: Files, former: Path | None, before: Known | None
) -> None:
    """In the place of a file that rotted in the store, the good one of the former entry."""
    if former is None or before is None or before.sha256 != promised_digest(one.name):
        return
    if not _is_whole(former / before.stored, before):
        return
    payload.forget(files.known[one.name].stored)
    if payload.link(former, before.stored, before.stored_sha256, before.stored_size):
        files.known[one.name] = before
