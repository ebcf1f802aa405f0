"""Writing what lies under ``data/`` of an entry, open or encrypted, with the hash of every file."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any

from repairs.keep.bag import Readable, copy_hashed
from repairs.keep.keys import BundleKey
from repairs.keep.refusals import BundleDamagedError
from repairs.storage.files import sha256_of

AGE = ".age"


@dataclass
class Payload:
    """The payload of an entry that is being written."""

    folder: Path
    key: BundleKey | None
    hashes: dict[str, str] = field(default_factory=dict)
    size_bytes: int = 0
    _folders: set[str] = field(default_factory=set)

    def put(self, name: str, source: Readable) -> tuple[str, str, int]:
        """Write a file under that name in the entry.

        Returns the SHA-256 of what was read, where it lies and how large it is there.
        """
        self.make_folder(name)
        with (self.folder / name).open("wb") as target:
            if self.key is None:
                digest, size = copy_hashed(source, target.write)
                own = digest
            else:
                digest, own, size = _encrypted(source, target, self.key)
        self.note(name, own, size)
        return digest, own, size

    def write(self, name: str, chunks: Iterable[bytes]) -> str:
        """Write what is made here, and read it back; returns its SHA-256 before any encryption."""
        there = f"data/{name}{AGE if self.key else ''}"
        digest, own, _size = self.put(there, _Chunks(chunks))
        if sha256_of(self.folder / there) != own:
            raise BundleDamagedError(what=f"{there} ≠ SHA-256")
        return digest

    def put_plain(self, name: str, data: bytes) -> None:
        """Write what is locked already."""
        (self.folder / name).write_bytes(data)
        self.note(name, hashlib.sha256(data).hexdigest(), len(data))

    def link(self, former: Path, name: str, own: str, size: int) -> bool:
        """Take over a file of the former entry as it is; says whether that could be done."""
        source = os.path.join(former, name)  # noqa: PTH118 - of half a million files, the cheap way
        self.make_folder(name)
        try:
            if os.stat(source).st_size != size:  # noqa: PTH116 - see above
                return False
            os.link(source, os.path.join(self.folder, name))  # noqa: PTH118 - see above
        except OSError:  # no such file, a disk without hard links, or too many of them
            return False
        self.note(name, own, size)
        return True

    def forget(self, name: str) -> None:
        """Take a file away again."""
        path = self.folder / name
        self.size_bytes -= path.stat().st_size
        path.unlink()
        del self.hashes[name]

    def note(self, name: str, own: str, size: int) -> None:
        """Count a file that lies there."""
        self.hashes[name] = own
        self.size_bytes += size

    def make_folder(self, name: str) -> None:
        """Make the folder of that file, once."""
        inner = name.rpartition("/")[0]
        if inner not in self._folders:
            (self.folder / inner).mkdir(parents=True, exist_ok=True)
            self._folders.add(inner)


class _Chunks:
    """What is made piece by piece, as something to read from."""

    def __init__(self, chunks: Iterable[bytes]) -> None:
        self.chunks = iter(chunks)
        self.rest = b""

    def read(self, most: int = -1) -> bytes:
        """The next bytes, at most that many; none at the end."""
        while not self.rest and (some := next(self.chunks, None)) is not None:
            self.rest = some
        taken = self.rest[:most] if most >= 0 else self.rest
        self.rest = self.rest[len(taken) :]
        return taken


class Hashing:
    """A file whose bytes are hashed on their way."""

    def __init__(self, handle: Any) -> None:
        self.handle, self.digest, self.size = handle, hashlib.sha256(), 0

    def read(self, most: int = -1) -> bytes:
        """As a file's own."""
        block: bytes = self.handle.read(most)
        return self._seen(block)

    def write(self, block: bytes) -> int:
        """As a file's own."""
        self.handle.write(self._seen(block))
        return len(block)

    def flush(self) -> None:
        """As a file's own."""
        self.handle.flush()

    def _seen(self, block: bytes) -> bytes:
        self.digest.update(block)
        self.size += len(block)
        return block


def _encrypted(source: Readable, target: IO[bytes], key: BundleKey) -> tuple[str, str, int]:
    from pyrage import encrypt_io  # noqa: PLC0415 - loaded by whoever encrypts

    inner, outer = Hashing(source), Hashing(target)
    encrypt_io(inner, outer, [key.recipient])
    return inner.digest.hexdigest(), outer.digest.hexdigest(), outer.size
