"""An entry that is to be taken back: checked, opened with its key, read by name."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any

from repairs.audit.marks import NAME as MARKS
from repairs.audit.marks import Marks, MarksUnreadableError, understood
from repairs.keep import surroundings
from repairs.keep.bag import BLOCK, Bag, open_bag
from repairs.keep.entries import ENTRY, FORMAT, LISTED, Known, read_list
from repairs.keep.keys import unlocked
from repairs.keep.loading import unknown_migrations
from repairs.keep.payload import AGE, Hashing
from repairs.keep.refusals import (
    BundleDamagedError,
    BundleForeignError,
    BundleNewerError,
    KeyWantedError,
)
from repairs.keep.tables import Table, read_table


@dataclass(frozen=True)
class Bundle:
    """What an entry holds. ``opens`` is the identity of an encrypted one."""

    bag: Bag
    said: Mapping[str, Any]
    opens: Any
    tables: tuple[Table, ...] = ()
    hashes: Mapping[str, str] = field(default_factory=dict)
    rows_n: Mapping[str, int] = field(default_factory=dict)
    numbers: Mapping[str, int] = field(default_factory=dict)
    files: Mapping[str, Known] = field(default_factory=dict)

    @property
    def migrations(self) -> list[tuple[str, str]]:
        """The migrations that its database had, in their order."""
        return [(str(app), str(name)) for app, name in self.said["migrations"]]

    def check_release(self) -> None:
        """Raise BundleNewerError for tables that only a later release knows."""
        if unknown := unknown_migrations(self.migrations):
            raise BundleNewerError(release=self.said.get("release", "?"), what=unknown[0])

    def lines(self, table: Table) -> Iterator[str]:
        """The rows of a table, as JSON lines."""
        name = f"database/{table.name}.jsonl"
        if self.opens is not None:
            yield from (text.decode("utf-8") for text in io.BytesIO(self.read(name)))
            return
        self.bag.copy(f"data/{name}", lambda _block: None)  # whole, before a row is believed
        with (self.bag.folder / "data" / name).open("rb") as handle:
            yield from (text.decode("utf-8") for text in handle)

    def read(self, name: str) -> bytes:
        """A small file under ``data/``, opened."""
        if self.opens is None:
            return self.bag.read(f"data/{name}")
        return _opened(self.bag.read(f"data/{name}{AGE}"), self.opens, name)

    def copy_file(self, name: str, target: IO[bytes]) -> None:
        """Write a file of the store, held against its hash. Raises BundleDamagedError."""
        known = self.files[name]
        if known.stored not in self.bag.payload:
            raise BundleDamagedError(what=f"{known.stored} —")
        if self.opens is None:
            self.bag.copy(known.stored, target.write)
            digest = self.bag.payload[known.stored]
        else:
            digest = _decrypted(self.bag.folder / known.stored, target, self.opens, name)
        if digest != known.sha256:
            raise BundleDamagedError(what=f"{name} ≠ SHA-256")

    def marks(self) -> Marks | None:
        """How far the house had come when it was made; None in a bundle of before."""
        if f"data/{MARKS}{AGE if self.opens else ''}" not in self.bag.payload:
            return None
        try:
            return understood(self.read(MARKS).decode("utf-8"))
        except (MarksUnreadableError, UnicodeDecodeError) as fault:
            raise BundleDamagedError(what=f"{MARKS} ?") from fault

    def keys(self) -> dict[str, str]:
        """The keys of the house, which only an encrypted bundle holds."""
        said: dict[str, str] = json.loads(self.read(surroundings.KEYS)) if self.opens else {}
        return said

    def safe_place(self, root: Path, name: str) -> Path:
        """Where a file of the store goes. Raises BundleDamagedError for one that leads outside."""
        place = (root / name).resolve()
        if not place.is_relative_to(root.resolve()) or place == root.resolve():
            raise BundleDamagedError(what=f"{name} ?")
        return place


def open_bundle(folder: Path, secret: str = "") -> Bundle:
    """Read what an entry says of itself and what it lists.

    Raises BundlePartialError, BundleForeignError, BundleDamagedError, BundleNewerError,
    KeyWantedError or WrongKeyError.
    """
    bag = open_bag(folder)
    said = _said(folder)
    opens = None
    if said.get("encrypted_to"):
        if not secret:
            raise KeyWantedError
        opens = unlocked(bag.read("data/key.age"), secret)
    closed = Bundle(bag, said, opens)
    try:
        return _listed(closed)
    except (KeyError, TypeError, ValueError) as fault:
        why = f"{type(fault).__name__}: {fault}"
        raise BundleForeignError(place=str(folder), why=why) from fault


def is_locked(folder: Path) -> bool:
    """Whether an entry wants a key."""
    return (folder / "data" / "key.age").is_file()


def _said(folder: Path) -> dict[str, Any]:
    try:
        said = json.loads((folder / ENTRY).read_text(encoding="utf-8"))
    except (OSError, ValueError) as fault:
        raise BundleForeignError(place=str(folder), why=f"{ENTRY} —") from fault
    known = FORMAT.partition("/")[0]
    told = str(said.get("format")) if isinstance(said, dict) else ""
    if told.partition("/")[0] != known:
        raise BundleForeignError(place=str(folder), why=f"{ENTRY}: format {told!r}")
    if told != FORMAT:
        raise BundleNewerError(release=said.get("release", "?"), what=told)
    return said  # type: ignore[no-any-return]


def _listed(closed: Bundle) -> Bundle:
    about = json.loads(closed.read("database/tables.json"))
    files = dict(read_list(closed.read(LISTED).decode("utf-8")))
    return Bundle(
        closed.bag,
        closed.said,
        closed.opens,
        tuple(read_table({k: t[k] for k in ("name", "key", "columns")}) for t in about["tables"]),
        {table["name"]: table["sha256"] for table in about["tables"]},
        {table["name"]: table["rows"] for table in about["tables"]},
        about["numbers"],
        files,
    )


def _opened(locked: bytes, opens: Any, name: str) -> bytes:
    from pyrage import DecryptError, decrypt  # noqa: PLC0415 - loaded by whoever decrypts

    try:
        return bytes(decrypt(locked, [opens]))
    except DecryptError as fault:
        raise BundleDamagedError(what=f"{name}: {fault}") from fault


def _decrypted(path: Path, target: IO[bytes], opens: Any, name: str) -> str:
    from pyrage import DecryptError, decrypt_io  # noqa: PLC0415 - see above

    passing = Hashing(target)
    try:
        with path.open("rb", buffering=BLOCK) as source:
            # The cipher vouches for each of its pieces: a changed bit does not come out.
            decrypt_io(source, passing, [opens])
    except (DecryptError, OSError, ValueError) as fault:
        raise BundleDamagedError(what=f"{name}: {fault}") from fault
    return passing.digest.hexdigest()
