"""Where a lost file may be had from: a function from a SHA-256 to a file, or to nothing.

What it returns is only a candidate: whoever takes it reads it against the hash first.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

from repairs.keep.bag import MANIFEST, TAGS
from repairs.storage import files as store

Source = Callable[[str], Path | None]
MANIFESTS = (MANIFEST, TAGS)


def folder_source(folder: Path) -> Source:
    """Files of a folder by their hash: those that are named by it, and those that a manifest lists.

    That is a bag (RFC 8493), a pool of files by hash, or the store of another copy of the house.
    """

    @cache
    def index() -> dict[str, list[Path]]:
        """Looked through once, when the first file is wanted."""
        found: dict[str, list[Path]] = defaultdict(list)
        for digest, path in _listed(folder):
            found[digest].append(path)
        return found

    def find(sha256: str) -> Path | None:
        """The first file whose bytes have that hash."""
        return next((path for path in index()[sha256] if _is(path, sha256)), None)

    return find


def first_of(*sources: Source) -> Source:
    """The first of several sources that has the file."""

    def find(sha256: str) -> Path | None:
        """What the first one has."""
        return next((path for source in sources if (path := source(sha256))), None)

    return find


def _listed(folder: Path) -> Iterator[tuple[str, Path]]:
    for path in sorted(folder.rglob("*")):
        if path.name in MANIFESTS and path.is_file():
            yield from _of_manifest(path)
        elif digest := store.digest_borne(path.name):
            yield digest, path


def _of_manifest(manifest: Path) -> Iterator[tuple[str, Path]]:
    for line in manifest.read_text(encoding="utf-8", errors="replace").splitlines():
        digest, _space, name = line.partition(" ")
        # Percent signs and line ends in names are encoded (RFC 8493, 2.1.3); ours have none.
        yield digest.lower(), manifest.parent / name.strip().removeprefix("*")


def _is(path: Path, sha256: str) -> bool:
    try:
        return path.is_file() and store.sha256_of(path) == sha256
    except OSError:
        return False
