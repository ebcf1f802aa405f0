"""A bundle back into an empty house: all of it, proved, or nothing.

Rows and files are built beside their place and proved there. On SQLite the database file is renamed
last; on PostgreSQL a mark among the tables says that a restore is under way, and goes last. What a
stopped restore left is known by it: no server starts on it, and the next restore clears it.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import subprocess
import sys
from base64 import b64decode
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.management import call_command, get_commands
from django.db import DatabaseError, connections
from django.db.migrations.loader import MigrationLoader
from django.utils import timezone

from repairs.audit import marks
from repairs.keep import surroundings
from repairs.keep.bundle import Bundle
from repairs.keep.dumping import at_rest
from repairs.keep.loading import build_tables, load, take_mark_away
from repairs.keep.refusals import BundleDamagedError, ProofFailedError, RowsDifferError
from repairs.keep.target import Target, drop_all

ALIAS = "keep_restore"
# Commands that the restored house must pass; one that this release does not have is not asked.
PROOFS = ("verify_log", "verify_store")

Replay = Callable[[], int]
_replays: list[Replay] = []


def replayed_after_restore(replay: Replay) -> Replay:
    """Register what is to be done anew in a restored house: erasures that came after the backup.

    Called with the restored database in place; says how many it did. None is registered yet: the
    room that erases personal data keeps its list outside the database and registers here.
    """
    _replays.append(replay)
    return replay


@dataclass(frozen=True)
class Restored:
    """What was put back."""

    tables_n: int
    rows_n: int
    files_n: int
    proved: tuple[str, ...]
    replayed_n: int = 0


def restore(bundle: Bundle, target: Target) -> Restored:
    """Bring the bundle into the empty house. Raises KeepError; then nothing was put in place."""
    bundle.check_release()
    target.check_empty()
    work = target.begin()
    try:
        with _database(target, work) as alias:
            rows_n = _rows(bundle, alias)
            (work / marks.NAME).write_text(_marks(bundle, alias), encoding="utf-8")
            if not target.is_postgres:  # this file is renamed last, which is mark enough
                take_mark_away(alias)
        files_n = _files(bundle, work / "media")
        kept = _keys(bundle, work)
        proved = _prove(target, work)
        target.finish(work, kept)
    except BaseException:
        target.undo()
        raise
    target.clear(work)
    replayed = sum(replay() for replay in _replays) if target.is_house else 0
    return Restored(len(bundle.tables), rows_n, files_n, proved, replayed)


def put_rows_back(bundle: Bundle) -> int:
    """Bring the rows of the present database back to what the bundle holds: an update failed.

    Of PostgreSQL only, and only with the bundle that was made just before: all tables go first.
    """
    drop_all()
    with _database(Target(Path(settings.DATA_DIR), is_postgres=True), Path()) as alias:
        rows_n = _rows(bundle, alias)
        take_mark_away(alias)
    return rows_n


@contextmanager
def _database(target: Target, work: Path) -> Iterator[str]:
    """The database that rows come into, under a name of its own."""
    connections.databases[ALIAS] = {
        **connections.databases["default"],
        **target.database(work),
    }
    try:
        yield ALIAS
        if connections[ALIAS].vendor == "sqlite":
            with connections[ALIAS].cursor() as cursor:
                # One file, whole: no log beside it that would have to come along.
                cursor.execute("PRAGMA journal_mode = DELETE")
    finally:
        connections[ALIAS].close()
        del connections[ALIAS]
        del connections.databases[ALIAS]


def _rows(bundle: Bundle, alias: str) -> int:
    """Build the tables as they stood, fill them, and hold what came out against the bundle."""
    build_tables(alias, bundle.migrations)
    lines = ((table, bundle.lines(table)) for table in bundle.tables)
    try:
        load(alias, lines, bundle.numbers)
    except (DatabaseError, LookupError, ValueError) as fault:  # rows that cannot be ours
        raise BundleDamagedError(what=f"{type(fault).__name__}: {fault}") from fault
    _compare(bundle, alias)
    ends = MigrationLoader(connections[alias]).graph.leaf_nodes()
    if set(ends) - set(bundle.migrations):
        # An older bundle goes on to where this release stands, as its own house would have.
        call_command("migrate", database=alias, verbosity=0)
    return sum(bundle.rows_n.values())


def _compare(bundle: Bundle, alias: str) -> None:
    with at_rest(alias) as source:
        for table in bundle.tables:
            if digest_of(source.lines(table)) != bundle.hashes[table.name]:
                raise RowsDifferError(table=table.name)


def digest_of(lines: Iterator[str]) -> str:
    """SHA-256 of a table as a bundle would hold it."""
    digest = hashlib.sha256()
    for text in lines:
        digest.update(f"{text}\n".encode())
    return digest.hexdigest()


def _marks(bundle: Bundle, alias: str) -> str:
    """How far the house had come, to lie beside its files: from here on no number comes twice, and
    none is given before somebody has looked at the newest papers."""
    carried, made_at = bundle.marks(), dt.datetime.fromisoformat(str(bundle.said["made_at"]))
    here = timezone.get_default_timezone()
    until = timezone.now().astimezone(here)
    since = min(made_at.astimezone(here), until)
    return marks.as_text(marks.of_rows(alias, carried=carried, since=since, until=until))


def _files(bundle: Bundle, root: Path) -> int:
    root.mkdir()
    for name in bundle.files:
        place = bundle.safe_place(root, name)
        place.parent.mkdir(parents=True, exist_ok=True)
        with place.open("wb") as handle:
            bundle.copy_file(name, handle)
        place.chmod(0o600)
        # As old as it was: the next backup into the same folder then links it again.
        mtime_ns = bundle.files[name].mtime_ns
        os.utime(place, ns=(mtime_ns, mtime_ns))
    return len(bundle.files)


def _keys(bundle: Bundle, work: Path) -> list[str]:
    """Write the keys that the bundle holds; their names, since a proof makes those that lack."""
    known = surroundings.key_files()
    found = {name: said for name, said in bundle.keys().items() if name in known}
    for name, said in found.items():
        path = work / name
        path.write_bytes(b64decode(said))
        path.chmod(0o600)
    return list(found)


def _prove(target: Target, work: Path) -> tuple[str, ...]:
    """Let the restored house prove itself, in a process whose house it is."""
    known = get_commands()
    asked = tuple(name for name in PROOFS if name in known)
    for name in asked:
        done = subprocess.run(  # noqa: S603 - our own command
            [sys.executable, str(Path(settings.BASE_DIR) / "manage.py"), name],
            env=target.environment(work),
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode:
            last = (done.stderr.strip().splitlines() or [""])[-1]
            raise ProofFailedError(check=name, why=last)
    return asked
