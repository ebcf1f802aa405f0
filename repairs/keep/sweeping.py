"""What a kill or a full disk left behind, and what has served its time: found, then swept.

Nothing is swept that a row refers to, and nothing that was touched within a day. Files that bear
their own hash and that no row names (a paper that was printed and never issued) are set aside for
three months first: of a house that was put back to an older database they are not leftovers, and
``verify_store --heal`` finds them there.
"""

from __future__ import annotations

import datetime as dt
import fcntl
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from django.contrib.sessions.models import Session
from django.db.models import Q, QuerySet
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from repairs.jobs.models import Job
from repairs.keep.looking import DAY, is_old, known_files, lying
from repairs.keep.mending import aside, set_aside
from repairs.photos.models import Photo
from repairs.photos.upload_models import Upload
from repairs.press.models import PaperDraft
from repairs.storage import files as store
from repairs.storage.shelves import shelf_of

KEPT_ASIDE = dt.timedelta(days=90)


@dataclass(frozen=True)
class Leftover:
    """One thing to be swept: what it is, its name, and how; ``sweep`` looks once more itself."""

    what: str | Promise
    name: str
    sweep: Callable[[], bool]


def leftovers(now: dt.datetime) -> Iterator[Leftover]:
    """Everything that may be swept now, to be listed before it is."""
    yield from _uploads(now)
    yield from _halves(now)
    yield from _previews(now)
    yield from _unknown(now)
    yield from _set_aside(now)
    yield from _rows(now)


def sweep(now: dt.datetime) -> list[Leftover]:
    """Sweep what may be swept; return what was."""
    return [leftover for leftover in list(leftovers(now)) if leftover.sweep()]


def _uploads(now: dt.datetime) -> Iterator[Leftover]:
    """Pieces whose rest never came, and rows of photos that are over."""
    begun = Upload.objects.filter(photo=None, begun_at__lt=now - DAY)
    for upload in begun:
        if not upload.path.exists() or is_old(upload.path, now):
            words = _("a photo whose rest never came")
            yield Leftover(words, upload.name, partial(_end_upload, upload, now))
    inbox = store.root() / "inbox"
    waiting = {str(uuid) for uuid in begun.values_list("uuid", flat=True)}
    waiting |= {str(row.uuid) for row in _still_needed()}
    for path in sorted(inbox.glob("*")):
        if path.name not in waiting and is_old(path, now):
            yield Leftover(_("a sent file"), path.name, partial(_remove, path, now))


def _still_needed() -> Iterator[Upload]:
    """Uploads that are not whole, or whose photo has no original yet (of a former release)."""
    pending = Q(photo=None) | Q(photo__original=None, photo__state=Photo.State.WAITING)
    pending |= Q(photo__original=None, photo__state=Photo.State.FAILED)
    yield from Upload.objects.filter(pending).iterator()


def _end_upload(upload: Upload, now: dt.datetime) -> bool:
    """The row and its pieces, unless somebody goes on with it just now."""
    path = upload.path
    if not path.exists():
        return bool(Upload.objects.filter(pk=upload.pk, photo=None).delete()[0])
    with path.open("rb") as handle:
        fcntl.flock(handle, fcntl.LOCK_EX)
        if not is_old(path, now) or not Upload.objects.filter(pk=upload.pk, photo=None).delete()[0]:
            return False
        path.unlink(missing_ok=True)
    return True


def _halves(now: dt.datetime) -> Iterator[Leftover]:
    """Files that were being written, and folders in which something was being made."""
    for path in sorted(store.root().rglob("*.part")):
        if is_old(path, now):
            yield Leftover(_("half a file"), _name(path), partial(_remove, path, now))
    for path in sorted((store.root() / "workplace").glob("*")):
        if is_old(path, now):
            words = _("a folder of the darkroom")
            yield Leftover(words, _name(path), partial(_remove, path, now))


def _previews(now: dt.datetime) -> Iterator[Leftover]:
    """Previews of yesterday: their draft stays, and asks for a new one."""
    busy = Job.objects.filter(Q(state__in=Job.OPEN) | Q(state=Job.State.FAILED, let_go_at=None))
    needed = set(busy.values_list("arguments__draft", flat=True))
    for draft in PaperDraft.objects.filter(made_at__lt=now - DAY).exclude(file_name=""):
        if draft.pk not in needed:
            yield Leftover(_("a preview"), draft.file_name, partial(_forget_preview, draft))


def _forget_preview(draft: PaperDraft) -> bool:
    """The link first; the file goes as one that no row names, since another draft may show it."""
    return bool(PaperDraft.objects.filter(pk=draft.pk).update(file_name=""))


def _unknown(now: dt.datetime) -> Iterator[Leftover]:
    known = known_files()
    for shelf, name, path in lying():
        if name in known or not is_old(path, now) or (shelf.is_passing and shelf.knows(name)):
            continue
        words = _("a file that no row names")
        yield Leftover(words, name, partial(_take_down, path, name, now))


def _take_down(path: Path, name: str, now: dt.datetime) -> bool:
    shelf = shelf_of(name)
    if shelf is None:
        return False
    # Whoever keeps the same bytes anew holds their hash and touches the file: it is then young.
    with store.held(store.digest_borne(name) or "00"):
        if shelf.knows(name) or not is_old(path, now):
            return False
        # What can be made again, or passes, needs no second chance.
        if shelf.is_passing or shelf.make_anew is not None:
            path.unlink(missing_ok=True)
        else:
            set_aside(path)
    return True


def _set_aside(now: dt.datetime) -> Iterator[Leftover]:
    for path in sorted(aside().rglob("*")):
        if path.is_file() and is_old(path, now - KEPT_ASIDE + DAY):
            words = _("a file set aside three months ago")
            yield Leftover(words, _name(path), partial(_remove, path, now))


def _rows(now: dt.datetime) -> Iterator[Leftover]:
    """Rows that say nothing any more: ended jobs, sessions that ran out, uploads that are over."""
    over = Q(state=Job.State.DONE) | Q(let_go_at__isnull=False)
    done = (Photo.State.READY, Photo.State.REFUSED)
    ended: dict[str | Promise, QuerySet[Any]] = {
        _("ended jobs"): Job.objects.filter(over, finished_at__lt=now - DAY),
        _("sessions that ran out"): Session.objects.filter(expire_date__lt=now - DAY),
        _("notes of photos that came"): Upload.objects.filter(
            photo__state__in=done, photo__sent_at__lt=now - DAY
        ),
    }
    for words, rows in ended.items():
        if count := rows.count():
            yield Leftover(words, str(count), partial(_delete, rows))


def _delete(rows: QuerySet[Any]) -> bool:
    return bool(rows.delete()[0])


def _remove(path: Path, now: dt.datetime) -> bool:
    if not is_old(path, now):
        return False
    if path.is_dir():
        shutil.rmtree(path, ignore_errors=True)
    else:
        path.unlink(missing_ok=True)
    return not path.exists()


def _name(path: Path) -> str:
    return path.relative_to(store.root()).as_posix()
