"""From this release to the next: backup, migrate, check; and back by itself when a check fails.

The next release lies in a folder of its own beside this one. Its commands run in processes of
their own, with its own code; this one only watches. The server must be stopped meanwhile: rows
that it wrote after the backup would be lost on the way back.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import connection

from repairs.keep.bundle import Bundle, open_bundle
from repairs.keep.entries import keep_folder
from repairs.keep.refusals import NoReleaseError, NotUpdatedError
from repairs.keep.restoring import put_rows_back

# In this order; each must end with 0. The last asks for a page, as a browser would.
STEPS: tuple[tuple[str, ...], ...] = (
    ("migrate", "--no-input"),
    ("check",),
    ("migrate", "--check"),
    ("verify_log",),
    ("shell", "-c", "from repairs.keep.updating import first_page; first_page()"),
)
PATIENCE_S = 1800


@dataclass(frozen=True)
class Release:
    """The folder of a release, with its own environment if it has one."""

    folder: Path

    def check(self) -> None:
        """Raise NoReleaseError for a folder that is none, or is this one."""
        if not (self.folder / "manage.py").is_file() or not (self.folder / "repairs").is_dir():
            raise NoReleaseError(place=str(self.folder))
        if self.folder.samefile(settings.BASE_DIR):
            raise NoReleaseError(place=str(self.folder))

    @property
    def python(self) -> str:
        """What runs it: its own environment, else ours."""
        own = self.folder / ".venv" / "bin" / "python"
        return str(own) if own.exists() else sys.executable

    def run(self, step: tuple[str, ...]) -> str:
        """Run one of its commands; the last words when it failed, empty when it ended well."""
        done = subprocess.run(  # noqa: S603 - a release that the keeper named
            [self.python, str(self.folder / "manage.py"), *step],
            cwd=self.folder,
            env={**os.environ, "SAUTEREAU_DATA": str(settings.DATA_DIR)},
            capture_output=True,
            text=True,
            timeout=PATIENCE_S,
            check=False,
        )
        if not done.returncode:
            return ""
        said = (done.stderr or done.stdout).strip().splitlines()
        return said[-1] if said else f"{done.returncode}"


def update(release: Release, entry: Path, secret: str, say: Callable[[str], None]) -> None:
    """Migrate and check with the next release; on any failure put the rows back as they were.

    ``entry`` is the backup that was just made, ``secret`` opens it where PostgreSQL needs it as
    the way back. Raises NoReleaseError, or NotUpdatedError after
    everything was put back.
    """
    release.check()
    before = _set_aside()
    bundle = None if before else open_bundle(entry, secret)
    for step in STEPS:
        say(" ".join(step[:2]))
        if trouble := _tried(release, step):
            _back(before, bundle)
            raise NotUpdatedError(step=" ".join(step[:2]), why=trouble)
    if before is not None:
        before.unlink()


def _tried(release: Release, step: tuple[str, ...]) -> str:
    try:
        return release.run(step)
    except (OSError, subprocess.SubprocessError) as fault:
        return str(fault)


def _set_aside() -> Path | None:
    """A copy of the database file as it stands; on PostgreSQL the backup itself is the way back."""
    if connection.vendor != "sqlite":
        return None
    connection.close()
    path = Path(str(settings.DATABASES["default"]["NAME"]))
    copy = keep_folder() / "before-update.sqlite3"
    copy.unlink(missing_ok=True)
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(copy)) as target:
        source.backup(target)
    copy.chmod(0o600)
    return copy


def _back(before: Path | None, bundle: Bundle | None) -> None:
    connection.close()
    if bundle is not None:
        put_rows_back(bundle)
    if before is None:
        return
    path = Path(str(settings.DATABASES["default"]["NAME"]))
    for end in ("-wal", "-shm"):  # of the state that is given up
        path.with_name(f"{path.name}{end}").unlink(missing_ok=True)
    shutil.copyfile(before, path.with_name(f"{path.name}.back"))
    path.with_name(f"{path.name}.back").replace(path)
    before.unlink()


def first_page() -> None:
    """Ask for the page of the sign-in; raises when it is not served."""
    from django.test import Client  # noqa: PLC0415 - only here

    host = settings.ALLOWED_HOSTS[0] or "localhost"
    answer = Client().get("/sign-in/", secure=True, headers={"host": host})
    if answer.status_code != 200:
        raise SystemExit(f"/sign-in/: {answer.status_code}")
