"""Kept files on their way out: what is served is what was kept, or a sentence that says why not."""

from __future__ import annotations

import hashlib
import logging
from pathlib import Path

from repairs.storage import files
from repairs.storage.refusals import FileChangedError, FileLostError

log = logging.getLogger(__name__)


def read_kept(name: str, sha256: str) -> bytes:
    """The bytes of a kept file, held against the hash that was written down when it was kept.

    For papers and what goes with them: they are small, and must be right. Raises FileLostError or
    FileChangedError.
    """
    data = there(name).read_bytes()
    if hashlib.sha256(data).hexdigest() != sha256:
        log.error("a kept file was changed: %s", name)
        raise FileChangedError
    return data


def there(name: str) -> Path:
    """Where a kept file lies. Raises FileLostError when it does not."""
    path = files.path_of(name)
    if not path.is_file():
        log.error("a kept file is missing: %s", name)
        raise FileLostError
    return path
