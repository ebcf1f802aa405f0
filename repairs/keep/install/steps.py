"""The steps of which an installation is made: each knows whether it is done, and how to do it."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from django.utils.translation import gettext as _

from repairs.keep.install.refusals import StepFailedError
from repairs.storage import files as store

FORMER = ".before-sautereau"
PATIENCE_S = 1800


class Step(Protocol):
    """One thing to do."""

    @property
    def follows(self) -> bool:
        """Whether it is done again whenever something was written before it."""

    @property
    def words(self) -> str:
        """What it does, as a line for whoever decides."""

    @property
    def shown(self) -> str:
        """What it writes, for a trial; empty for what is no text."""

    def is_done(self) -> bool:
        """Whether there is nothing to do."""

    def do(self) -> None:
        """Do it. Raises OSError or StepFailedError."""


@dataclass(frozen=True)
class Owner:
    """Whose a file is; nobody's where a folder only stands for the machine."""

    user: str = "root"
    group: str = ""

    def has(self, place: Path) -> bool:
        """Whether it is theirs already."""
        known = (place.owner(), place.group())
        return known == (self.user, self.group or self.user)

    def give(self, place: Path) -> None:
        """Give it to them."""
        shutil.chown(place, self.user, self.group or self.user)


@dataclass(frozen=True)
class Folder:
    """A folder for its owner, with all that is in it."""

    place: Path
    mode: int
    owner: Owner | None
    follows: bool = False
    shown: str = ""

    @property
    def words(self) -> str:
        """As a line."""
        said = _("folder %(place)s, %(mode)s, of %(user)s")
        who = self.owner.user if self.owner else "—"
        return said % {"place": self.place, "mode": f"{self.mode:04o}", "user": who}

    def is_done(self) -> bool:
        """Whether it is there, as closed as it shall be."""
        try:
            mode = self.place.stat().st_mode & 0o7777
            return mode == self.mode and (self.owner is None or self.owner.has(self.place))
        except (OSError, KeyError):  # nobody of that name any more
            return False

    def do(self) -> None:
        """Make it; what a house of before holds goes with it to the new owner."""
        self.place.mkdir(parents=True, exist_ok=True)
        self.place.chmod(self.mode)
        if self.owner is not None:
            for path in (self.place, *self.place.rglob("*")):
                if not path.is_symlink():
                    self.owner.give(path)


@dataclass(frozen=True)
class File:
    """A text of ours. What somebody else had there is kept beside it."""

    place: Path
    text: str
    mode: int = 0o644
    owner: Owner | None = None
    secrets: tuple[str, ...] = ()
    follows: bool = False

    @property
    def words(self) -> str:
        """As a line."""
        return _("file %(place)s, %(mode)s") % {"place": self.place, "mode": f"{self.mode:04o}"}

    @property
    def shown(self) -> str:
        """Its text without what nobody may read over a shoulder."""
        text = self.text
        for secret in self.secrets:
            text = text.replace(secret, "…")
        return text

    @property
    def sha256(self) -> str:
        """By what it is known again when it is to be removed."""
        return hashlib.sha256(self.text.encode()).hexdigest()

    @property
    def former(self) -> Path:
        """Where what stood there before is kept."""
        return self.place.with_name(f"{self.place.name}{FORMER}")

    def is_done(self) -> bool:
        """Whether it stands there so."""
        try:
            if self.place.read_text(encoding="utf-8") != self.text:
                return False
            mode = self.place.stat().st_mode & 0o7777
            return mode == self.mode and (self.owner is None or self.owner.has(self.place))
        except (OSError, UnicodeDecodeError):
            return False

    def do(self) -> None:
        """Write it whole, private from its first byte on."""
        self.place.parent.mkdir(parents=True, exist_ok=True)
        draft = self.place.with_name(f".{self.place.name}.part")
        draft.unlink(missing_ok=True)
        handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            out.write(self.text)
            out.flush()
            os.fsync(out.fileno())
        if self.owner is not None:
            self.owner.give(draft)
        draft.chmod(self.mode)
        draft.replace(self.place)
        store.sync(self.place.parent)

    def set_aside(self) -> None:
        """Keep what somebody else had there, once."""
        if self.place.exists() and not self.former.exists():
            shutil.copy2(self.place, self.former)


@dataclass(frozen=True)
class Run:
    """A program of the machine."""

    words: str
    argv: tuple[str, ...]
    done: Callable[[], bool]
    follows: bool = False
    shown: str = ""

    def is_done(self) -> bool:
        """As its own question says."""
        return self.done()

    def do(self) -> None:
        """Run it. Raises StepFailedError with its last words."""
        why = said_by(self.argv)
        if why is not None:
            raise StepFailedError(step=self.words, why=why)


def said_by(argv: tuple[str, ...]) -> str | None:
    """Run a program; its last words when it failed, None when it ended well."""
    try:
        done = _ran(argv)
    except (OSError, subprocess.SubprocessError) as fault:
        return str(fault)
    if not done.returncode:
        return None
    lines = (done.stderr.strip() or done.stdout.strip()).splitlines()
    return lines[-1] if lines else str(done.returncode)


def _ran(argv: tuple[str, ...]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603 - programs of the machine, by our own words
        argv,
        env={**os.environ, "DEBIAN_FRONTEND": "noninteractive"},
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
        stdin=subprocess.DEVNULL,
    )


def told_by(*argv: str) -> str:
    """What a program prints; nothing when it cannot be run."""
    try:
        return _ran(argv).stdout
    except (OSError, subprocess.SubprocessError):
        return ""


def succeeds(*argv: str) -> bool:
    """Whether a program that only asks says yes."""
    return said_by(argv) is None
