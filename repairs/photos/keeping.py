"""The bytes of photos: from what was sent into the store, and out of it when no photo is left."""

from __future__ import annotations

import fcntl
import hashlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from django.db import transaction
from django.utils import timezone

from repairs.photos.darkroom import is_heif
from repairs.photos.derivative_models import Derivative
from repairs.photos.models import Original
from repairs.photos.upload_models import Upload
from repairs.storage import files as store

HEAD_BYTES = 32


@dataclass
class Sent:
    """A file that lies in the store, on the disk and under its hash, before any row names it."""

    sha256: str
    file_name: str
    size_bytes: int
    has_row: bool = False

    def original(self) -> Original:
        """The row of the original: the one that is known, or a new one."""
        fields = {"file_name": self.file_name, "size_bytes": self.size_bytes}
        row, _made = Original.objects.get_or_create(
            sha256=self.sha256, defaults={**fields, "kept_at": timezone.now()}
        )
        self.has_row = True
        return row


@contextmanager
def sent(upload: Upload) -> Iterator[Sent | None]:
    """Put the whole upload into the store, and hold its hash until the caller has its row.

    None when the file is gone: another request was first. The upload's own file goes once the row
    is written, and stays when that fails, so that nothing is lost. It goes under its lock: whoever
    waits for it finds it gone. An original of that hash that is missing or was changed is replaced
    by what was sent: to send a photo again mends it.
    """
    try:
        handle = upload.path.open("rb")
    except FileNotFoundError:
        yield None
        return
    with handle:
        fcntl.flock(handle, fcntl.LOCK_EX)  # a piece of it may still be being written
        if not upload.path.exists():
            yield None
            return
        digest = hashlib.file_digest(handle, "sha256").hexdigest()
        with store.held(digest):
            put = _put(upload.path, digest)
            yield put
            if put.has_row:
                upload.path.unlink(missing_ok=True)


def _put(path: Path, digest: str) -> Sent:
    known = Original.objects.filter(sha256=digest).first()
    name = known.file_name if known else store.name_for("originals", digest, _suffix(path))
    store.put_beside(path, store.path_of(name))
    return Sent(digest, name, path.stat().st_size)


def _suffix(path: Path) -> str:
    """How the name ends, from the first bytes: what it is in truth, the darkroom finds out."""
    with path.open("rb") as handle:
        head = handle.read(HEAD_BYTES)
    if is_heif(head):
        return ".heic"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return ".webp"
    starts = {b"\xff\xd8\xff": ".jpg", b"\x89PNG": ".png"}
    return next((suffix for start, suffix in starts.items() if head.startswith(start)), ".bin")


def let_go(original: Original) -> None:
    """Remove an original of which no photo is left: a file that was refused.

    Only after the refusal is committed: until then the file is all that there is.
    """
    with store.held(original.sha256):
        with transaction.atomic():
            row = Original.objects.select_for_update().filter(pk=original.pk).first()
            if row is None or row.photos.exists() or row.derivatives.exists():
                return
            row.delete()
        store.path_of(row.file_name).unlink(missing_ok=True)


@dataclass(frozen=True)
class Small:
    """A smaller picture that lies in the store, before its row."""

    longest_px: int
    sha256: str
    size_bytes: int


def adopt_sizes(original: Original, files: dict[str, str]) -> list[Small]:
    """Move the finished sizes into the store; one that rotted there is replaced."""
    made = []
    for size, name in files.items():
        made.append(measured(int(size), name))
        store.adopt(Path(name), "derived", original.sha256, f"-{size}.jpg")
    return made


def measured(longest_px: int, name: str) -> Small:
    """What is written down of a finished size."""
    path = Path(name)
    return Small(longest_px, store.sha256_of(path), path.stat().st_size)


def write_sizes(original: Original, sizes: Iterable[Small]) -> None:
    """Write down the hash of each size, over the one that was known."""
    Derivative.objects.bulk_create(
        [
            Derivative(
                original=original,
                longest_px=size.longest_px,
                sha256=size.sha256,
                size_bytes=size.size_bytes,
            )
            for size in sizes
        ],
        update_conflicts=True,
        unique_fields=["original", "longest_px"],
        update_fields=["sha256", "size_bytes"],
    )
