"""From a kept original to a photo that is shown: develop it, refuse it, or say why not yet.

Only a fault of the file itself refuses it. A darkroom that dies, takes too long or has no room is
trouble of this machine: the job is tried again, and then the photo stands as one that could not be
developed, with its original kept.
"""

from __future__ import annotations

import datetime as dt
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from repairs.audit.actions import deed, record
from repairs.cases.locks import locked_case
from repairs.jobs.actions import enqueue, try_again
from repairs.jobs.models import Job
from repairs.jobs.troubles import STUMBLED, TroubleError
from repairs.people.models import User
from repairs.photos import keeping
from repairs.photos.actions import DEVELOP, set_withdrawn
from repairs.photos.developing import Darkroom, darkroom
from repairs.photos.models import Original, Photo
from repairs.photos.troubles import CHANGED, LOST
from repairs.photos.upload_models import Upload
from repairs.storage import files as store


def develop(upload: Upload, room: Darkroom | None = None) -> Photo:
    """Verify the photo's original in the darkroom, then show it or refuse it with a reason.

    Safe to repeat: a photo that is no longer waiting is left as it is. Raises TroubleError when
    nothing can be said of the file now.
    """
    photo = upload.photo
    if photo is None or photo.state != Photo.State.WAITING:
        raise ValueError("only a whole upload that waits is developed")
    original = photo.original or _sent_before(upload, photo)
    with tempfile.TemporaryDirectory(dir=workplace()) as folder:
        facts = developed(original, Path(folder), room)
        if "refused" in facts:
            _refuse(photo, facts["refused"], facts["details"])
        else:
            _show(photo, original, facts)
    keeping.let_go(original)
    return photo


def developed(original: Original, folder: Path, room: Darkroom | None = None) -> dict[str, Any]:
    """What the darkroom says of an original: its facts with its sizes in the folder, or a refusal.

    Raises TroubleError, also for a file that is missing or is not what was sent.
    """
    source = store.path_of(original.file_name)
    if not source.exists():
        raise TroubleError(LOST)
    facts = (room or darkroom()).develop(source, folder)
    if "trouble" in facts:
        raise TroubleError(facts["trouble"])
    # A file that rotted since would be refused for what it never was.
    if (facts.get("sha256") or store.sha256_of(source)) != original.sha256:
        raise TroubleError(CHANGED)
    return facts


def _sent_before(upload: Upload, photo: Photo) -> Original:
    """The original of a photo that a former release took in and left in the inbox."""
    with keeping.sent(upload) as sent, deed():
        if sent is None:
            raise TroubleError(LOST)
        photo.original = sent.original()
        photo.save(update_fields=["original"])
    return photo.original


def workplace() -> Path:
    """On the same file system as the store, so that a finished file is moved and not copied."""
    place = store.root() / "workplace"
    place.mkdir(parents=True, exist_ok=True)
    return place


def _refuse(photo: Photo, code: str, details: dict[str, Any]) -> None:
    with deed():
        locked_case(photo.case_id)
        photo.original = None
        photo.state, photo.refusal = Photo.State.REFUSED, code
        photo.refusal_details = details
        photo.save(update_fields=["original", "state", "refusal", "refusal_details"])
        now = timezone.now()
        record(photo.sent_by, "photo.refused", photo.case, at=now, photo=photo.number, why=code)


def _show(photo: Photo, original: Original, facts: dict[str, Any]) -> None:
    """Files first, then the rows: a crash between the two leaves files that a retry finds again."""
    sizes = keeping.adopt_sizes(original, facts["files"])
    with deed():
        locked_case(photo.case_id)  # one at a time, to see a twin
        Original.objects.filter(pk=original.pk).update(**_seen_in(facts))
        original.refresh_from_db()
        keeping.write_sizes(original, sizes)
        twin = Photo.objects.ready().filter(case=photo.case_id, original=original).first()
        if twin is not None:
            _refuse(photo, "twice", {"number": twin.number})
            return
        photo.original, photo.state, photo.refusal = original, Photo.State.READY, ""
        photo.save(update_fields=["original", "state", "refusal"])
        record(
            photo.sent_by,
            "photo.added",
            photo.case,
            at=timezone.now(),
            photo=photo.number,
            sha256=original.sha256,
        )


def _seen_in(facts: Mapping[str, Any]) -> dict[str, Any]:
    taken = dt.datetime.fromisoformat(facts["taken_at"]) if facts["taken_at"] else None
    if taken is not None and timezone.is_naive(taken):
        taken = timezone.make_aware(taken)  # a camera without a zone runs on the shop's clock
    copied = ("format", "width", "height", "camera", "has_place")
    return {**{key: facts[key] for key in copied}, "taken_at": taken}


def stand_as_failed(arguments: Mapping[str, Any], trouble: str) -> None:
    """The job was given up: the photo waits for nothing any more, and says why."""
    with deed():
        for photo in _of_job(arguments).filter(state=Photo.State.WAITING):
            locked_case(photo.case_id)
            photo.state, photo.refusal = Photo.State.FAILED, trouble or STUMBLED
            photo.save(update_fields=["state", "refusal"])
            now = timezone.now()
            record(None, "photo.failed", photo.case, at=now, photo=photo.number, why=photo.refusal)


def wait_again(arguments: Mapping[str, Any]) -> None:
    """The job was queued anew."""
    _of_job(arguments).filter(state=Photo.State.FAILED).update(state=Photo.State.WAITING)


def withdraw_failed(arguments: Mapping[str, Any], *, by: User, at: dt.datetime) -> None:
    """Somebody let the photo go: it is withdrawn, and its original stays kept."""
    for photo in _of_job(arguments).filter(state=Photo.State.FAILED, withdrawn_at=None):
        set_withdrawn(photo, True, by=by, at=at)


def _of_job(arguments: Mapping[str, Any]) -> QuerySet[Photo]:
    rows = Photo.objects.select_related("case__instrument", "sent_by", "original")
    return rows.filter(upload=arguments["upload"])


@deed()
def develop_again(photo: Photo, *, by: User, at: dt.datetime) -> None:
    """Try a photo that could not be developed once more, by its job or by a new one."""
    locked_case(photo.case_id)
    upload = Upload.objects.get(photo=photo)
    rows = Job.objects.failed().filter(name=DEVELOP, arguments__upload=upload.pk)
    if not any(try_again(row) for row in rows[:1]):
        wait_again({"upload": upload.pk})
        enqueue(DEVELOP, by=by, upload=upload.pk)
    record(by, "photo.tried_again", photo.case, at=at, photo=photo.number)
