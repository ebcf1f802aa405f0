"""The dated entries in the folder of the backups: their names, their order, who may write now."""

from __future__ import annotations

import datetime as dt
import fcntl
import json
import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings

from repairs.keep.bag import PART
from repairs.keep.refusals import BackupBusyError, PlaceInsideError, PlaceUnusableError

FORMAT = "sautereau-backup/1"
ENTRY = "entry.json"
LISTED = "files.jsonl"
LOCK = ".sautereau-backup.lock"
NAME = re.compile(r"sautereau-\d{4}-\d\d-\d\dT\d{6}Z(-\d+)?$")


@dataclass(frozen=True)
class Known:
    """A file as the former entry holds it: from which it was made, and what lies there."""

    size: int
    mtime_ns: int
    sha256: str
    stored: str
    stored_sha256: str
    stored_size: int


def keep_folder() -> Path:
    """Where the house remembers what is needed for the next backup: beside its data, private."""
    folder = Path(settings.DATA_DIR) / "keep"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def usable_place(to: str | Path) -> Path:
    """The folder of the backups, made if need be. Raises PlaceInsideError, PlaceUnusableError."""
    place, data = Path(to).expanduser().resolve(), Path(settings.DATA_DIR).resolve()
    store = Path(settings.MEDIA_ROOT).resolve()
    for inner in (data, store):
        if place.is_relative_to(inner) or inner.is_relative_to(place):
            raise PlaceInsideError(place=str(place))
    try:
        place.mkdir(mode=0o700, parents=True, exist_ok=True)
        (place / LOCK).touch(mode=0o600)
    except OSError as fault:
        raise PlaceUnusableError(place=str(place), why=fault.strerror) from fault
    return place


@contextmanager
def alone_in(place: Path) -> Iterator[None]:
    """Let one backup write there. The system opens the lock of a process that was killed."""
    with (place / LOCK).open("w") as handle:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as fault:
            raise BackupBusyError(place=str(place)) from fault
        yield


def entries(place: Path) -> list[Path]:
    """The whole entries there, the oldest first."""
    found = (Path(one.path) for one in os.scandir(place) if one.is_dir(follow_symlinks=False))
    return sorted(one for one in found if NAME.match(one.name) and (one / ENTRY).is_file())


def about(entry: Path) -> dict[str, Any]:
    """What an entry says of itself; nothing when that cannot be read."""
    try:
        said = json.loads((entry / ENTRY).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return said if isinstance(said, dict) else {}


def of_house(place: Path, house: str) -> list[Path]:
    """The whole entries of this house, the oldest first; another's in the same folder stay."""
    return [entry for entry in entries(place) if about(entry).get("house") == house]


def sweep_parts(place: Path) -> list[str]:
    """Remove what a stopped backup left; a folder that is none of ours stays where it is."""
    removed = []
    for one in sorted(place.glob(f"*{PART}")):
        if NAME.match(one.name.removesuffix(PART)) and one.is_dir() and not one.is_symlink():
            shutil.rmtree(one)
            removed.append(one.name)
    return removed


def new_name(place: Path, at: dt.datetime) -> str:
    """The name of an entry of that moment, which none there has."""
    base = f"sautereau-{at.astimezone(dt.UTC):%Y-%m-%dT%H%M%SZ}"
    names = [base, *(f"{base}-{number}" for number in range(2, 100))]
    return next(name for name in names if not (place / name).exists())


def read_known(entry: Path, public: str) -> dict[str, Known]:
    """The files of a former entry, by their name in the store; none where it is of another key."""
    lists = keep_folder() / f"{entry.name}.jsonl" if public else entry / "data" / LISTED
    said = about(entry)
    if not lists.is_file() or (said.get("encrypted_to") or "") != public:
        return {}
    return dict(read_list(lists.read_text(encoding="utf-8")))


def read_list(text: str) -> Iterator[tuple[str, Known]]:
    """The list of files that lies in every entry, a line of JSON each."""
    for row in text.splitlines():
        name, size, mtime_ns, sha256, stored, stored_sha256, stored_size = json.loads(row)
        yield name, Known(size, mtime_ns, sha256, stored, stored_sha256, stored_size)


def list_text(files: dict[str, Known]) -> str:
    """The list of files as text; ``read_list`` reads it."""
    rows = (
        [name, *(getattr(known, field) for field in Known.__dataclass_fields__)]
        for name, known in files.items()
    )
    return "".join(f"{json.dumps(row, ensure_ascii=False)}\n" for row in rows)


def prune(place: Path, house: str, keep_n: int) -> list[str]:
    """Remove the oldest whole entries of the house above that number; names of what went."""
    mine = of_house(place, house)
    gone = mine[: max(0, len(mine) - max(1, keep_n))]
    for entry in gone:
        # Renamed first: what is half removed must not be taken for whole.
        going = entry.with_name(entry.name + PART)
        entry.rename(going)
        shutil.rmtree(going)
        (keep_folder() / f"{entry.name}.jsonl").unlink(missing_ok=True)
    return [entry.name for entry in gone]
