"""Files that are kept for ever, named by the SHA-256 of their content and written whole or not."""

from __future__ import annotations

import errno
import fcntl
import filecmp
import hashlib
import os
import re
import shutil
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings

DIGEST = re.compile("[0-9a-f]{64}")
LOCKS = "locks"


def root() -> Path:
    """The folder under which every file lies."""
    return Path(settings.MEDIA_ROOT)


def path_of(name: str) -> Path:
    """Return where a stored name lies. Raises ValueError for a name that leads outside."""
    # Names come out of rows, and a restored database is somebody else's text: “..” and links must
    # not lead out of the store.
    path = (root() / name).resolve()
    if not path.is_relative_to(root().resolve()):
        raise ValueError(f"{name!r} lies outside the store")
    return path


def name_for(folder: str, digest: str, suffix: str) -> str:
    """Where a file of that digest lies; two levels of folders keep each of them small."""
    return f"{folder}/{digest[:2]}/{digest[2:4]}/{digest}{suffix}"


def sha256_of(path: Path) -> str:
    """The SHA-256 of a file, hex, read piece by piece."""
    with path.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()


def keep(data: bytes, folder: str, suffix: str) -> tuple[str, str]:
    """Store the bytes under their own hash; return the hash and the stored name."""
    digest = hashlib.sha256(data).hexdigest()
    name = name_for(folder, digest, suffix)
    with held(digest):
        write_whole(path_of(name), data)
    return digest, name


def digest_borne(name: str) -> str:
    """The hash that a stored name bears, of itself or of what it was made of; empty for none."""
    found = DIGEST.match(name.rpartition("/")[2])
    return found.group() if found else ""


def adopt(source: Path, folder: str, digest: str, suffix: str) -> str:
    """Move a finished file into the store under its known name; the same content stays one file.

    A file that lies there already is believed only when it has the same bytes: one that rotted or
    was cut short is replaced by the good one.
    """
    name = name_for(folder, digest, suffix)
    with held(digest):
        put(source, path_of(name))
    return name


def put(source: Path, target: Path) -> None:
    """Move the file to its place on the same file system, safe from a power cut when it returns."""
    _make_folder(target.parent)
    if target.exists() and filecmp.cmp(source, target, shallow=False):
        os.utime(target)  # it is wanted anew: whoever sweeps sees that it is young
        sync(target)  # whoever wrote it may not have come to this line yet
        source.unlink()
    else:
        sync(source)
        source.replace(target)
    sync(target.parent)


def put_beside(source: Path, target: Path, *, as_copy: bool = False) -> None:
    """Like ``put``, and the source stays where it is until whoever asked is done with it.

    ``as_copy`` where the source lives on: what is then done to it must not be done to the store.
    """
    twin = target.with_name(f"{target.name}.{uuid.uuid4().hex}.part")
    _make_folder(target.parent)
    try:
        _second(source, twin, as_copy=as_copy)
        put(twin, target)
    except OSError:
        twin.unlink(missing_ok=True)
        raise


def _second(source: Path, twin: Path, *, as_copy: bool) -> None:
    if not as_copy:
        try:
            # A second name of the same bytes: no room, no time.
            twin.hardlink_to(source)
        except OSError as fault:
            # A file system without second names (exFAT, some shares).
            if fault.errno not in (errno.EPERM, errno.ENOTSUP, errno.EMLINK, errno.EXDEV):
                raise
        else:
            return
    shutil.copyfile(source, twin)


def write_whole(target: Path, data: bytes) -> None:
    """Write beside the target, then rename: a reader sees the old file or the new, never half."""
    # Beside its target, since a rename is whole only within one file system; and by a name of its
    # own, since two may keep the same bytes at once.
    _make_folder(target.parent)
    draft = target.with_name(f"{target.name}.{uuid.uuid4().hex}.part")
    try:
        draft.write_bytes(data)
        # Synced before the rename: some file systems put the new name on the disk before its
        # content, and a power cut then leaves a paper of zero bytes.
        put(draft, target)
    except OSError:
        draft.unlink(missing_ok=True)  # a full disk must not fill with halves
        raise


@contextmanager
def held(digest: str) -> Iterator[None]:
    """Nobody else puts a file of that hash in, or takes it out, meanwhile; across processes."""
    place = root() / LOCKS
    place.mkdir(parents=True, exist_ok=True)
    # One lock for all hashes that begin alike: 256 empty files, and they stay.
    with (place / digest[:2]).open("a") as handle:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield


def _make_folder(folder: Path) -> None:
    """Make what is missing of the way, each step on the disk: a synced file in a folder whose own
    name was lost is lost with it."""
    if folder.is_dir():
        return
    _make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    sync(folder.parent)


def sync(path: Path) -> None:
    """Have a file, or the names in a folder, on the disk when this returns."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
