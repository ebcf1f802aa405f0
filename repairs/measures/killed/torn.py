"""Files that are not what they were: SQLite's log cut or harmed anywhere, flipped bits."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random
from secrets import token_hex
from tempfile import TemporaryDirectory

from django.db import connection
from django.utils import timezone

from repairs.audit.anchors import as_mark, current_head
from repairs.audit.checking import Count, all_faults
from repairs.audit.level import is_level
from repairs.audit.marks import Mark
from repairs.keep.keys import Wanted
from repairs.keep.making import make_entry
from repairs.keep.sources import folder_source
from repairs.keep.store_models import FileCheck
from repairs.keep.verifying import verify
from repairs.measures.killed.batches import developed
from repairs.measures.killed.deeds import DEEDS, SEEN_OTHER, Sent
from repairs.measures.killed.house import Laid
from repairs.measures.killed.keeping import beside_the_house
from repairs.measures.killed.proof import Tally, hold_swept
from repairs.photos.models import Photo
from repairs.press.models import Paper
from repairs.storage import files as store

DEEDS_N = 12
MARKS = "marks beside the files"
Found = FileCheck.Found


@dataclass(frozen=True)
class Reached:
    """How long the log of SQLite was when a deed had been answered, and the line it had come to."""

    wal_bytes: int
    mark: Mark


def tear(laid: Laid, faults: int, chance: Random) -> Tally:
    """The log of SQLite is cut, or a bit of it flipped, at any byte: what lies before is there, and
    what is missing is said."""
    tally = Tally()
    if connection.vendor != "sqlite":
        return tally
    with TemporaryDirectory(prefix="torn-") as name:
        kept, reached = Path(name) / "kept.sqlite3", _worked(laid)
        live = Path(str(connection.settings_dict["NAME"]))
        shutil.copy(live, kept)
        wal = live.with_name(f"{live.name}-wal").read_bytes()
        for number in range(faults):
            torn = Path(name) / f"{number}.sqlite3"
            shutil.copy(kept, torn)
            at = chance.randrange(len(wal))
            torn.with_name(f"{torn.name}-wal").write_bytes(_harmed(wal, at, chance))
            with _instead(torn):
                _hold_torn(reached, at, tally)
            torn.unlink()
            tally.counts["kills"] += 1
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    hold_swept(tally)
    return tally


def _worked(laid: Laid) -> list[Reached]:
    """Some deeds, of which SQLite keeps all in its log."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        cursor.execute("PRAGMA wal_autocheckpoint = 0")
    wal = Path(f"{connection.settings_dict['NAME']}-wal")
    reached, first = [Reached(0, as_mark(current_head()))], f"torn-{token_hex(4)}"
    for number in range(DEEDS_N):
        for name in ("wood", "payment"):
            deed = DEEDS[name]
            deed.do(deed.prepare(laid, f"{first}-{number}"))
            reached.append(Reached(wal.stat().st_size, as_mark(current_head())))
    return reached


def _harmed(wal: bytes, at: int, chance: Random) -> bytes:
    if chance.random() < 0.5:
        return wal[:at]
    return wal[:at] + bytes([wal[at] ^ (1 << chance.randrange(8))]) + wal[at + 1 :]


@contextmanager
def _instead(file: Path) -> Iterator[None]:
    """The house with that database; its files and their marks are those of the live one."""
    live = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = str(file)
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = live


def _hold_torn(reached: list[Reached], at: int, tally: Tally) -> None:
    with connection.cursor() as cursor:
        told = cursor.execute("PRAGMA integrity_check").fetchone()[0]
    tally.wrong("half", [told] if told != "ok" else [])
    head, last = as_mark(current_head()), reached[-1].mark
    safe = [one.mark for one in reached if one.wal_bytes <= at][-1]
    if head.seq < safe.seq:
        tally.wrong("lost", [f"cut at {at}: line {safe.seq} was whole, the log ends at {head.seq}"])
    if head not in {one.mark for one in reached}:
        tally.wrong("half", [f"cut at {at}: line {head.seq} ends no deed"])
    is_behind = head.seq < last.seq
    tally.counts["inside"] += is_behind
    faults = list(all_faults(Count()))
    tally.wrong("half", (str(fault) for fault in faults if fault.where != MARKS))
    if is_behind and (is_level() or not any(fault.where == MARKS for fault in faults)):
        tally.wrong(
            "unsaid", [f"cut at {at}: {last.seq - head.seq} lines lack, and it is not said"]
        )


def flip(laid: Laid, faults: int, chance: Random) -> Tally:
    """A bit of a file flips: it is found, and what can mend it does."""
    tally, first, sender = Tally(), f"rot-{token_hex(4)}", Sent()
    seeds = [f"{first}-{number}" for number in range(4)]
    for seed in seeds:
        sender.do(sender.prepare(laid, seed))
    developed(laid, tally)
    disk = beside_the_house()
    entry = make_entry(disk, Wanted(), at=timezone.now()).entry
    for number in range(faults):
        tally.counts["kills"] += 1
        seed = chance.choice(seeds)
        (_original, _derived, _paper)[number % 3](laid, seed, entry, chance, tally)
    shutil.rmtree(disk)
    developed(laid, tally)
    hold_swept(tally)
    return tally


def _original(laid: Laid, seed: str, _entry: Path, chance: Random, tally: Tally) -> None:
    """Mended by sending the photo once more."""
    sender = Sent()
    act = sender.prepare(laid, seed)
    photo = (
        Photo.objects.filter(original__sha256=act.mark).select_related("original").earliest("pk")
    )
    assert photo.original is not None  # noqa: S101 - it was found by it
    _flipped(photo.original.file_name, chance, tally)
    status, _where = sender.do(act)
    tally.answered(status, f"photo {act.mark}, sent once more")
    if status != SEEN_OTHER:
        tally.wrong("refused", [f"photo {act.mark}, sent once more: {status}"])
    _mended(photo.original.file_name, tally)


def _derived(laid: Laid, seed: str, _entry: Path, chance: Random, tally: Tally) -> None:
    """Mended by making it anew."""
    mark = Sent().prepare(laid, seed).mark
    sizes = sorted((store.root() / "derived").rglob(f"{mark}-*.jpg"))
    name = chance.choice(sizes).relative_to(store.root()).as_posix()
    _flipped(name, chance, tally)
    verify(heal=True, at=timezone.now())
    _mended(name, tally)


def _paper(_laid: Laid, _seed: str, entry: Path, chance: Random, tally: Tally) -> None:
    """Mended out of a backup."""
    name = chance.choice(list(Paper.objects.values_list("file_name", flat=True)))
    _flipped(name, chance, tally)
    verify(heal=True, source=folder_source(entry), at=timezone.now())
    _mended(name, tally)


def _flipped(name: str, chance: Random, tally: Tally) -> None:
    path = store.path_of(name)
    data = bytearray(path.read_bytes())
    data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
    path.write_bytes(data)
    if verify(at=timezone.now()).of(Found.CHANGED) != [name]:
        tally.wrong("unsaid", [f"a bit of {name} flipped, and it is not said"])
    else:
        tally.counts["inside"] += 1


def _mended(name: str, tally: Tally) -> None:
    if name in verify(at=timezone.now()).found:
        tally.wrong("lost", [f"{name} was not mended"])
    else:
        tally.counts["acknowledged"] += 1
