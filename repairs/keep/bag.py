"""A folder after BagIt 1.0 (RFC 8493): a payload under ``data/``, and SHA-256 of all there is.

Written and read by ourselves, in few lines: the house must be able to open its own bundles when
nothing else is left. The tests hold it against an independent checker.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from repairs.keep.refusals import BundleDamagedError, BundleForeignError, BundlePartialError
from repairs.storage.files import sha256_of

DECLARATION = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
MANIFEST, TAGS, INFO = "manifest-sha256.txt", "tagmanifest-sha256.txt", "bag-info.txt"
PART = ".part"
BLOCK = 1024 * 1024

Write = Callable[[bytes], object]


class Readable(Protocol):
    """What bytes are read from, piece by piece."""

    def read(self, most: int = -1, /) -> bytes:
        """At most that many bytes; none at the end."""


def copy_hashed(source: Readable, write: Write) -> tuple[str, int]:
    """Pass all bytes on; return their SHA-256 and how many they were."""
    digest, size = hashlib.sha256(), 0
    while block := source.read(BLOCK):
        digest.update(block)
        write(block)
        size += len(block)
    return digest.hexdigest(), size


def write_bag(
    folder: Path, payload: Mapping[str, str], size_bytes: int, info: Mapping[str, str]
) -> None:
    """Write what makes the folder a bag around the payload, given as ``data/…`` and SHA-256."""
    (folder / "bagit.txt").write_text(DECLARATION, encoding="utf-8")
    said = {**info, "Payload-Oxum": f"{size_bytes}.{len(payload)}"}
    words = "".join(f"{label}: {value}\n" for label, value in said.items())
    (folder / INFO).write_text(words, encoding="utf-8")
    (folder / MANIFEST).write_text(_lines(payload), encoding="utf-8")
    tags = sorted(entry.name for entry in os.scandir(folder) if entry.is_file())
    hashes = {name: sha256_of(folder / name) for name in tags if name != TAGS}
    (folder / TAGS).write_text(_lines(hashes), encoding="utf-8")


def _lines(hashes: Mapping[str, str]) -> str:
    return "".join(f"{hashes[name]}  {_told(name)}\n" for name in sorted(hashes))


def _told(name: str) -> str:
    # RFC 8493, 2.1.3: these three and no others.
    return name.replace("%", "%25").replace("\n", "%0A").replace("\r", "%0D")


def _meant(told: str) -> str:
    return told.replace("%0A", "\n").replace("%0D", "\r").replace("%25", "%")


@dataclass(frozen=True)
class Bag:
    """A bag whose tags are what was written; its payload is held against ``payload`` when read."""

    folder: Path
    payload: Mapping[str, str]
    info: Mapping[str, str]

    def copy(self, name: str, write: Write) -> int:
        """Pass a payload file on; return its size. Raises BundleDamagedError for other bytes."""
        with (self.folder / name).open("rb") as source:
            digest, size = copy_hashed(source, write)
        if digest != self.payload[name]:
            raise BundleDamagedError(what=f"{name} ≠ SHA-256")
        return size

    def read(self, name: str) -> bytes:
        """A payload file, held against its hash."""
        if name not in self.payload:
            raise BundleForeignError(place=self.folder.name, why=f"{name} —")
        parts: list[bytes] = []
        self.copy(name, parts.append)
        return b"".join(parts)

    def check(self) -> int:
        """Read every payload file against its hash; return how many bytes they are."""
        return sum(self.copy(name, lambda _block: None) for name in self.payload)


def open_bag(folder: Path) -> Bag:
    """Read the tags of a bag, and hold the files that are there against those that it lists.

    Raises BundlePartialError, BundleForeignError or BundleDamagedError.
    """
    if folder.name.endswith(PART):
        raise BundlePartialError(place=str(folder))
    if not (folder / "bagit.txt").is_file():
        raise BundleForeignError(place=str(folder), why="bagit.txt —")
    for name in (TAGS, MANIFEST, INFO):
        if not (folder / name).is_file():
            raise BundleDamagedError(what=f"{name} —")
    tags = _listed(folder / TAGS)
    for name, digest in tags.items():
        if not _inside(folder, name).is_file():
            raise BundleDamagedError(what=f"{name} —")
        if sha256_of(folder / name) != digest:
            raise BundleDamagedError(what=f"{name} ≠ SHA-256")
    payload = _listed(folder / MANIFEST)
    _check_names(folder, payload, {*tags, TAGS})
    words = (folder / INFO).read_text(encoding="utf-8").splitlines()
    info = dict(line.split(": ", 1) for line in words if ": " in line)
    bag = Bag(folder, payload, info)
    _check_sum(bag)
    return bag


def _listed(path: Path) -> dict[str, str]:
    """A manifest as names and hashes. Every byte of it counts: no other file hashes this one."""
    try:
        text = path.read_text(encoding="utf-8")
        rows = [line.split("  ", 1) for line in text.splitlines()]
        listed = {_meant(name): digest for digest, name in rows}
    except ValueError as fault:
        raise BundleDamagedError(what=f"{path.name} ?") from fault
    if _lines(listed) != text:
        raise BundleDamagedError(what=f"{path.name} ?")
    return listed


def _check_names(folder: Path, payload: Iterable[str], tags: set[str]) -> None:
    listed = {*payload, *tags}
    there = set(_found(folder))
    if missing := sorted(listed - there):
        raise BundleDamagedError(what=f"{missing[0]} — ({len(missing)})")
    if more := sorted(there - listed):
        raise BundleDamagedError(what=f"+ {more[0]} ({len(more)})")
    for name in payload:
        if not name.startswith("data/"):
            raise BundleDamagedError(what=f"{name} ?")


def _found(folder: Path) -> Iterable[str]:
    for place, folders, names in os.walk(folder):
        for name in (*folders, *names):
            path = Path(place) / name
            if path.is_symlink():  # it may lead anywhere
                raise BundleDamagedError(what=f"{name} ?")
        inner = os.path.relpath(place, folder).replace(os.sep, "/")
        yield from (name if inner == "." else f"{inner}/{name}" for name in names)


def _inside(folder: Path, name: str) -> Path:
    path = (folder / name).resolve()
    if not path.is_relative_to(folder.resolve()):
        raise BundleDamagedError(what=f"{name} ?")
    return path


def _check_sum(bag: Bag) -> None:
    size = sum(_inside(bag.folder, name).stat().st_size for name in bag.payload)
    if bag.info.get("Payload-Oxum") != f"{size}.{len(bag.payload)}":
        raise BundleDamagedError(what="Payload-Oxum ≠")
