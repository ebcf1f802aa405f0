"""What pages fetch, under names that change with their content, and packed beforehand.

A server gathers them once at its start, into the folder of the data: one style sheet instead of its
parts, hashed names that a browser may keep for a year, brotli and gzip beside each. Where nothing
was gathered, in tests and under ``runserver``, every file is served under its own name.
"""

from __future__ import annotations

import fcntl
import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.core.management import call_command
from whitenoise.storage import CompressedManifestStaticFilesStorage

from repairs.screens.styles import BUNDLE, STYLES

MARK = "gathered.txt"
NOT_FETCHED = ["*.ttf", "ext", "house.css"]  # the last is made of the others


class HouseStatic(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """The gathered files; what was not gathered keeps its own name."""

    support_js_module_import_aggregation = True
    manifest_strict = False

    def stored_name(self, name: str) -> str:
        """The name with its hash, or the name as it is."""
        return str(self.hashed_files.get(self.hash_key(self.clean_name(name)), name))


def gather() -> None:
    """Collect, name and pack all that pages fetch, unless it is done; safe for several servers."""
    root = Path(settings.STATIC_ROOT)
    with _alone(root.parent / "static.lock"):
        mark = root / MARK
        wanted = _fingerprint()
        if mark.is_file() and mark.read_text("utf-8") == wanted:
            return
        write_bundle(Path(settings.STATICFILES_DIRS[0]) / BUNDLE)
        call_command(
            "collectstatic",
            interactive=False,
            verbosity=0,
            clear=True,
            ignore_patterns=["*.ttf", "ext"],  # letters of papers, extensions that we do not load
        )
        mark.write_text(wanted, "utf-8")


def write_bundle(target: Path) -> None:
    """Write the parts of the style, in their order, as one sheet."""
    target.parent.mkdir(parents=True, exist_ok=True)
    parts = (finders.find(f"repairs/css/{name}.css") for name in STYLES)
    texts = [Path(str(part)).read_text("utf-8") for part in parts]
    target.write_text("\n".join(texts), "utf-8")


def _fingerprint() -> str:
    """Changes when any file that pages fetch does: names, sizes, times of change."""
    digest = hashlib.sha256()
    for finder in finders.get_finders():
        for name, storage in sorted(finder.list(NOT_FETCHED), key=lambda found: str(found[0])):
            told = Path(storage.path(name)).stat()
            digest.update(f"{name} {told.st_size} {told.st_mtime_ns}\n".encode())
    return digest.hexdigest()


@contextmanager
def _alone(lock: Path) -> Iterator[None]:
    """Let one process at a time gather."""
    with lock.open("w") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield
