"""One entry: the rows of one moment, then the files, in a folder that is renamed when it is whole.

Rows first: files are kept before the rows that name them, so every file of those rows is there.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import shutil
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from django.conf import settings

from repairs.audit import marks
from repairs.audit.marks import NAME as MARKS
from repairs.keep import entries, opened, surroundings
from repairs.keep.bag import PART, write_bag
from repairs.keep.carrying import Files, carry
from repairs.keep.dumping import Source, at_rest, check_tables
from repairs.keep.keys import BundleKey, Wanted, bundle_key
from repairs.keep.payload import Payload
from repairs.keep.refusals import NoRoomError, PlaceUnusableError
from repairs.keep.stored import missing, stored_files
from repairs.keep.tables import LEFT_OUT, MEANINGS, Table, kept_tables
from repairs.storage import files as store
from repairs.storage.shelves import named_by
from repairs.storage.space import FULL
from workshop import __version__

CHUNK_LINES = 500


@dataclass
class Rows:
    """What was read of the database."""

    tables: list[dict[str, Any]] = field(default_factory=list)
    named: set[str] = field(default_factory=set)
    migrations: list[list[str]] = field(default_factory=list)
    log: dict[str, Any] = field(default_factory=lambda: {"seq": 0, "hash": "0" * 64})
    house: str = ""
    index: opened.Index = field(default_factory=opened.Index)

    @property
    def count(self) -> int:
        """How many rows there are in all tables."""
        return sum(int(table["rows"]) for table in self.tables)


@dataclass(frozen=True)
class Made:
    """A whole entry, and what was found on the way."""

    entry: Path
    tables_n: int
    rows_n: int
    files_n: int
    copied_n: int
    size_bytes: int
    is_encrypted: bool
    missing: tuple[str, ...]
    damaged: tuple[str, ...]
    swept: tuple[str, ...]


def make_entry(to: str | Path, wanted: Wanted, *, at: dt.datetime) -> Made:
    """Write one whole entry into the folder; nothing half is left when it cannot be.

    Raises KeepError. Whoever calls prunes afterwards.
    """
    if not wanted.is_open:
        wanted.check()
    place = entries.usable_place(to)
    with entries.alone_in(place):
        swept = entries.sweep_parts(place)
        key = None if wanted.is_open else bundle_key(wanted, entries.keep_folder())
        name = entries.new_name(place, at)
        part = place / f"{name}{PART}"
        part.mkdir(mode=0o700)
        try:
            return _write(part, key, at, swept)
        except OSError as fault:
            _told(fault, place)
            raise
        finally:
            if part.exists():
                shutil.rmtree(part, ignore_errors=True)


def _told(fault: OSError, place: Path) -> None:
    """Raise what a person can act on, of a fault of the disk."""
    if fault.errno in FULL:
        free_mb = shutil.disk_usage(place).free // 1_000_000
        raise NoRoomError(place=str(place), free_mb=free_mb, needed_mb="?") from fault
    raise PlaceUnusableError(place=str(place), why=fault.strerror or str(fault)) from fault


def _write(part: Path, key: BundleKey | None, at: dt.datetime, swept: list[str]) -> Made:
    place, payload = part.parent, Payload(part, key)
    before_ns = time.time_ns()
    marked = _marks()  # before the rows: it must not know of what comes after them
    with at_rest() as source:
        listed = stored_files(store.root())
        tables = kept_tables()
        check_tables(source, tables)
        house = _house(source)
        former = next(reversed(entries.of_house(place, house)), None)
        known = entries.read_known(former, key.public if key else "") if former else {}
        _check_room(place, listed, known)
        rows = _rows(source, tables, payload)
        rows.house = house
    surroundings.put(payload)
    _put_marks(payload, marked)
    # What came after the rows were read has no row in this backup; it is in the next one.
    kept = [one for one in listed if one.mtime_ns <= before_ns or one.name in rows.named]
    files = carry(kept, payload, former, known, at)
    _finish(payload, rows, files, at)
    gaps = missing(rows.named, set(files.known))
    final = place / part.name.removesuffix(PART)
    _rename_whole(part, final)
    if key:  # an encrypted list cannot be read here; an open one lies in the entry
        text = entries.list_text(files.known)
        store.write_whole(entries.keep_folder() / f"{final.name}.jsonl", text.encode())
    return Made(
        final, len(rows.tables), rows.count, len(files.known), files.copied_n,
        payload.size_bytes, key is not None, tuple(gaps), tuple(files.damaged), tuple(swept),
    )  # fmt: skip


def _marks() -> bytes:
    """How far the house had come, as it lies beside the files; nothing where that says nothing."""
    try:
        known = marks.read()
    except marks.MarksUnreadableError:
        return b""
    return marks.as_text(known).encode() if known else b""


def _put_marks(payload: Payload, marked: bytes) -> None:
    if marked:
        payload.write(MARKS, [marked])


def _house(source: Source) -> str:
    """By what this house is told from another: the hash of the first line of its log."""
    first = list(source.rows("SELECT hash FROM repairs_logentry WHERE seq = 1"))
    return str(first[0][0]) if first else ""


def _check_room(place: Path, listed: list[Any], known: dict[str, entries.Known]) -> None:
    new = [one.size for one in listed if not _is_known(one, known)]
    # Rows as text are about as large as the database that holds them; the rest is lists.
    needed = sum(new) + _database_bytes() + 300 * len(listed) + 1_000_000
    free = shutil.disk_usage(place).free
    if needed > free:
        words = {"free_mb": free // 1_000_000, "needed_mb": needed // 1_000_000 + 1}
        raise NoRoomError(place=str(place), **words)


def _is_known(one: Any, known: dict[str, entries.Known]) -> bool:
    former = known.get(one.name)
    return former is not None and (former.size, former.mtime_ns) == (one.size, one.mtime_ns)


def _database_bytes() -> int:
    path = Path(str(settings.DATABASES["default"]["NAME"]))
    return path.stat().st_size if path.is_file() else 0


def _rows(source: Source, tables: tuple[Table, ...], payload: Payload) -> Rows:
    # A file that is named and missing is told; the backup is made all the same.
    rows, named = Rows(), named_by()
    for table in tables:
        column, found = named.get(table.name, ""), _Seen()
        lines = found.watched(source.lines(table), column, rows.named)
        digest = payload.write(f"database/{table.name}.jsonl", _chunks(lines))
        rows.tables.append({**table.plain(), "rows": found.count, "sha256": digest})
    asked = "SELECT app, name FROM django_migrations ORDER BY id"
    rows.migrations = [[str(app), str(name)] for app, name in source.rows(asked)]
    for seq, digest in source.rows("SELECT seq, hash FROM repairs_loghead"):
        rows.log = {"seq": seq, "hash": digest}
    about = {"tables": rows.tables, "numbers": source.numbers(tables), "kinds": MEANINGS}
    payload.write("database/tables.json", [_json(about)])
    if payload.key is None:
        rows.index = opened.read(source)
    return rows


class _Seen:
    """Counts lines, and notes the files that they name."""

    count = 0

    def watched(self, lines: Iterator[str], column: str, named: set[str]) -> Iterator[str]:
        """The lines as they are."""
        for text in lines:
            self.count += 1
            if column and (name := json.loads(text)[column]):
                named.add(name)
            yield text


def _chunks(lines: Iterator[str]) -> Iterator[bytes]:
    some: list[str] = []
    for text in lines:
        some.append(text)
        if len(some) >= CHUNK_LINES:
            yield ("\n".join(some) + "\n").encode()
            some.clear()
    if some:
        yield ("\n".join(some) + "\n").encode()


def _json(said: object) -> bytes:
    return json.dumps(said, ensure_ascii=False, indent=1).encode()


def _finish(payload: Payload, rows: Rows, files: Files, at: dt.datetime) -> None:
    """Lists, what the entry says of itself, the page for a browser, and the manifests."""
    payload.write(entries.LISTED, [entries.list_text(files.known).encode()])
    said = {
        "format": entries.FORMAT,
        "made_at": at.astimezone(dt.UTC).isoformat(),
        "release": __version__,
        "house": rows.house,
        "log": rows.log,
        "migrations": rows.migrations,
        "tables": len(rows.tables),
        "rows": rows.count,
        "files": len(files.known),
        "missing": missing(rows.named, set(files.known)),
        "damaged": files.damaged,
        "left_out": {**LEFT_OUT, **surroundings.left_out(is_open=payload.key is None)},
        "encrypted_to": payload.key.public if payload.key else "",
    }
    folder = payload.folder
    (folder / entries.ENTRY).write_bytes(_json(said))
    if payload.key:
        payload.put_plain("data/key.age", payload.key.locked)
    for name, text in opened.files(rows.index, said).items():
        (folder / name).write_text(text, encoding="utf-8")
    info = {
        "Bagging-Date": f"{at.astimezone(dt.UTC):%Y-%m-%d}",
        "Bag-Software-Agent": f"Sautereau {__version__}",
        "External-Description": "casebook of a workshop: database as JSON lines, and its files",
    }
    write_bag(folder, payload.hashes, payload.size_bytes, info)


def _rename_whole(part: Path, final: Path) -> None:
    """Everything onto the disk, then its name: what bears it is whole."""
    os.sync()
    part.rename(final)
    store.sync(final.parent)
