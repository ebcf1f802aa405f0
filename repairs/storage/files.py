"""Files that are kept for ever, named by the SHA-256 of their content and written whole or not."""

from __future__ import annotations

import hashlib
import os
import uuid
from pathlib import Path

from django.conf import settings


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


def keep(data: bytes, folder: str, suffix: str) -> tuple[str, str]:
    """Store the bytes under their own hash; return the hash and the stored name."""
    digest = hashlib.sha256(data).hexdigest()
    name = name_for(folder, digest, suffix)
    write_whole(path_of(name), data)
    return digest, name


def adopt(source: Path, folder: str, digest: str, suffix: str) -> str:
    """Move a finished file into the store under its known hash; the same content stays one file."""
    name = name_for(folder, digest, suffix)
    target = path_of(name)
    # Same digest, same bytes: the second copy of a photo costs nothing and changes nothing.
    if target.exists():
        source.unlink()
        return name
    target.parent.mkdir(parents=True, exist_ok=True)
    _sync(source)
    source.replace(target)
    return name


def write_whole(target: Path, data: bytes) -> None:
    """Write beside the target, then rename: a reader sees the old file or the new, never half."""
    # Another size is a file that was cut short outside of us, by a full disk of a copy: it is
    # written again.
    if target.exists() and target.stat().st_size == len(data):
        return
    target.parent.mkdir(parents=True, exist_ok=True)
    # Beside its target, since a rename is whole only within one file system; and by a name of its
    # own, since two may keep the same bytes at once.
    draft = target.with_name(f"{target.name}.{uuid.uuid4().hex}.part")
    try:
        with draft.open("wb") as handle:
            handle.write(data)
            handle.flush()
            # Before the rename: some file systems put the new name on the disk before its content,
            # and a power cut then leaves a paper of zero bytes.
            os.fsync(handle.fileno())
        draft.replace(target)
    except OSError:
        draft.unlink(missing_ok=True)  # a full disk must not fill with halves
        raise


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
