"""Make a backup or a drill, and keep how it ended."""

from __future__ import annotations

import datetime as dt
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.audit.actions import deed, record
from repairs.audit.models import LogEntry
from repairs.keep import entries
from repairs.keep.bundle import Bundle, open_bundle
from repairs.keep.keys import Wanted
from repairs.keep.making import Made, make_entry
from repairs.keep.models import KeepRun
from repairs.keep.refusals import BundleDamagedError, KeepError, NoEntryError
from repairs.keep.restoring import Restored, restore
from repairs.keep.target import Target
from repairs.people.actions import save_user
from repairs.people.models import User
from repairs.storage import files as store

BACKUP, DRILL = KeepRun.Sort.BACKUP, KeepRun.Sort.DRILL


def back_up(
    to: str | Path, wanted: Wanted, *, at: dt.datetime, keep_n: int = 0, by: User | None = None
) -> Made:
    """Write one entry, note it, and remove the oldest above ``keep_n``. Raises KeepError."""
    with _noted_when_refused(BACKUP, to, at, by):
        made = make_entry(to, wanted, at=at)
    run = KeepRun(
        sort=BACKUP,
        begun_at=at,
        is_good=True,
        is_encrypted=made.is_encrypted,
        place=str(made.entry.parent),
        entry=made.entry.name,
        rows_n=made.rows_n,
        files_n=made.files_n,
        copied_n=made.copied_n,
        size_bytes=made.size_bytes,
        trouble=trouble_words(made),
    )
    _keep(run, by)
    if keep_n:
        house = str(entries.about(made.entry).get("house", ""))
        entries.prune(made.entry.parent, house, keep_n)
    return made


def trouble_words(made: Made) -> str:
    """What a whole backup found wrong in the house itself; empty when nothing is."""
    told = []
    if made.missing:
        words = _("Files that rows name and that are not in the store: %(names)s.")
        told.append(words % {"names": _few(made.missing)})
    if made.damaged:
        words = _("Files of the store that are not what they were: %(names)s.")
        told.append(words % {"names": _few(made.damaged)})
    return " ".join(told)


def _few(names: tuple[str, ...]) -> str:
    more = f" … ({len(names)})" if len(names) > 3 else ""
    return ", ".join(names[:3]) + more


def newest_entry(to: str | Path) -> Path:
    """The newest whole entry of this house. Raises NoEntryError."""
    place = Path(to).expanduser().resolve()
    first = LogEntry.objects.filter(pk=1).first()
    found = entries.entries(place) if place.is_dir() else []
    if first is not None:  # a house without a line has no name yet: it may try any
        found = [entry for entry in found if entries.about(entry).get("house") == first.hash]
    if not found:
        raise NoEntryError(place=str(place))
    return found[-1]


def drill(to: str | Path, secret: str, *, at: dt.datetime, by: User | None = None) -> Restored:
    """Restore the newest entry beside, hold rows and files against it, and throw it away.

    Always into SQLite: so it needs no second server, and tries the way to the other database too.
    Raises KeepError.
    """
    with _noted_when_refused(DRILL, to, at, by):
        entry = newest_entry(to)
        bundle = open_bundle(entry, secret)
        scratch = Path(tempfile.mkdtemp(prefix="drill-", dir=entries.keep_folder()))
        try:
            restored = restore(bundle, Target(scratch / "house", is_house=False))
            compare_files(bundle, scratch / "house" / "media")
        finally:
            shutil.rmtree(scratch, ignore_errors=True)
    run = KeepRun(
        sort=DRILL,
        begun_at=at,
        is_good=True,
        is_encrypted=bundle.opens is not None,
        place=str(entry.parent),
        entry=entry.name,
        rows_n=restored.rows_n,
        files_n=restored.files_n,
    )
    _keep(run, by)
    return restored


def compare_files(bundle: Bundle, root: Path) -> int:
    """Read every restored file again and hold it against the list. Raises BundleDamagedError."""
    there = {path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file()}
    if odd := sorted(there ^ set(bundle.files)):
        raise BundleDamagedError(what=odd[0])
    for name, known in bundle.files.items():
        if store.sha256_of(root / name) != known.sha256:
            raise BundleDamagedError(what=f"{name} ≠ SHA-256")
    return len(there)


@contextmanager
def _noted_when_refused(
    sort: str, to: str | Path, at: dt.datetime, by: User | None
) -> Iterator[None]:
    """A run that fails is kept with its reason: nobody stands beside one at night."""
    try:
        yield
    except Exception as fault:
        words = str(fault) if isinstance(fault, KeepError) else f"{type(fault).__name__}: {fault}"
        run = KeepRun(
            sort=sort, begun_at=at, is_good=False, place=str(to)[:300], trouble=words[:2000]
        )
        _keep(run, by)
        raise


@deed()
def _keep(run: KeepRun, by: User | None) -> None:
    run.ended_at = timezone.now()
    run.save()
    if run.sort == BACKUP:
        verb = "keep.backup" if run.is_good else "keep.backup_failed"
        record(by, verb, run, at=run.ended_at, entry=run.entry)
    else:
        tried = "keep.drill" if run.is_good else "keep.drill_failed"
        record(by, tried, run, at=run.ended_at, entry=run.entry)


@deed()
def let_in(user: User, password: str, *, at: dt.datetime) -> User:
    """Let a new principal in from the machine itself; the log says for ever that it was so."""
    save_user(user, by=None, at=at, password=password)
    record(None, "person.let_in", user, at=at)
    return user
