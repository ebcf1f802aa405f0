"""Verbs on photos: send, keep, refuse, describe, withdraw; draw a tag and move it."""

from __future__ import annotations

import datetime as dt
import fcntl
import shutil
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db.models import Max
from django.utils import timezone

from repairs.audit.actions import deed, record
from repairs.cases.locks import locked_case
from repairs.jobs.actions import enqueue
from repairs.people.models import User
from repairs.photos.developing import Darkroom, darkroom
from repairs.photos.models import Original, Photo, Tag
from repairs.photos.upload_models import Upload
from repairs.storage import files as store


@deed()
def begin_upload(upload: Upload, *, at: dt.datetime) -> Upload:
    """Open the upload, or find the one that was cut off: same case, person, name, size, date.

    One that goes on takes the phase, the view and the rest that were chosen this time.
    """
    known = Upload.objects.filter(
        case=upload.case,
        by=upload.by,
        name=upload.name,
        size_bytes=upload.size_bytes,
        modified=upload.modified,
        photo=None,
    ).first()
    if known is None:
        return open_upload(upload, at=at)
    known.phase, known.view, known.carries = upload.phase, upload.view, upload.carries
    known.save(update_fields=["phase", "view", "carries"])
    known.path.touch()
    return known


def open_upload(upload: Upload, *, at: dt.datetime) -> Upload:
    """Make an empty file for what will arrive."""
    upload.begun_at = at
    upload.save()
    upload.path.parent.mkdir(parents=True, exist_ok=True)
    upload.path.touch()
    return upload


def append(upload: Upload, chunks: Iterable[bytes], *, offset: int) -> bool:
    """Write what arrived at its place; False, and nothing written, when the end is elsewhere.

    The place is checked and the bytes are written under one lock of the file: a browser may send
    the same piece again while the first is still being written. A file that is gone was developed
    meanwhile; it is not begun anew.
    """
    if not upload.path.exists():
        return False
    with upload.path.open("ab") as handle:
        fcntl.flock(handle, fcntl.LOCK_EX)
        if upload.offset != offset:
            return False
        for chunk in chunks:
            handle.write(chunk)
        handle.flush()
    return True


def complete(upload: Upload, *, at: dt.datetime) -> Photo:
    """Make the photo of a whole upload, and queue its development after the commit."""
    with deed():
        locked_case(upload.case_id)
        fresh = Upload.objects.get(pk=upload.pk)
        if fresh.photo is not None:
            upload.photo = fresh.photo
            return fresh.photo
        last = Photo.objects.filter(case=upload.case_id).aggregate(last=Max("number"))["last"]
        photo = Photo.objects.create(
            case=upload.case,
            number=(last or 0) + 1,
            phase=upload.phase,
            view=upload.view,
            carries=upload.carries,
            sent_name=upload.name,
            sent_at=at,
            sent_by=upload.by,
        )
        upload.photo = photo
        upload.save(update_fields=["photo"])
        enqueue("photos.develop", by=upload.by, upload=upload.pk)
    return photo


def develop(upload: Upload, room: Darkroom | None = None) -> Photo:
    """Verify the upload's file in the darkroom, then keep it or refuse it with a reason.

    Safe to repeat: a photo that is no longer waiting is left as it is.
    """
    photo = upload.photo
    if photo is None or photo.state != Photo.State.WAITING:
        raise ValueError("only a whole upload that waits is developed")
    with tempfile.TemporaryDirectory(dir=_workplace()) as folder:
        facts = (room or darkroom()).develop(upload.path, Path(folder))
        if "refused" in facts:
            _refuse(photo, facts["refused"], facts["details"])
        else:
            _keep(photo, upload, facts)
    upload.path.unlink(missing_ok=True)
    return photo


def _workplace() -> Path:
    """On the same file system as the store, so that a finished file is moved and not copied."""
    place = store.root() / "workplace"
    place.mkdir(parents=True, exist_ok=True)
    return place


def _refuse(photo: Photo, code: str, details: dict[str, Any]) -> None:
    with deed():
        locked_case(photo.case_id)
        photo.state, photo.refusal = Photo.State.REFUSED, code
        photo.refusal_details = details
        photo.save(update_fields=["state", "refusal", "refusal_details"])
        record(
            photo.sent_by,
            "photo.refused",
            photo.case,
            at=timezone.now(),
            photo=photo.number,
            why=code,
        )


def _keep(photo: Photo, upload: Upload, facts: dict[str, Any]) -> None:
    """Files first, then the rows: a crash between the two leaves files that a retry finds again."""
    digest = facts["sha256"]
    for size, path in facts["files"].items():
        store.adopt(Path(path), "derived", digest, f"-{size}.jpg")
    copy = upload.path.with_suffix(".kept")
    shutil.copyfile(upload.path, copy)
    suffix = "." + {"JPEG": "jpg", "HEIF": "heic"}.get(facts["format"], facts["format"].lower())
    name = store.adopt(copy, "originals", digest, suffix)
    with deed():
        locked_case(photo.case_id)  # one at a time, to see a twin
        original, _made = Original.objects.get_or_create(
            sha256=digest, defaults=_original_fields(facts, name)
        )
        twin = Photo.objects.ready().filter(case=photo.case_id, original=original).first()
        if twin is not None:
            _refuse(photo, "twice", {"number": twin.number})
            return
        photo.original, photo.state = original, Photo.State.READY
        photo.save(update_fields=["original", "state"])
        record(
            photo.sent_by,
            "photo.added",
            photo.case,
            at=timezone.now(),
            photo=photo.number,
            sha256=digest,
        )


def _original_fields(facts: dict[str, Any], name: str) -> dict[str, Any]:
    taken = dt.datetime.fromisoformat(facts["taken_at"]) if facts["taken_at"] else None
    if taken is not None and timezone.is_naive(taken):
        taken = timezone.make_aware(taken)  # a camera without a zone runs on the shop's clock
    copied = ("size_bytes", "format", "width", "height", "camera", "has_place")
    fields = {key: facts[key] for key in copied}
    return {**fields, "file_name": name, "taken_at": taken, "kept_at": timezone.now()}


@deed()
def describe(photo: Photo, *, by: User, at: dt.datetime) -> Photo:
    """Keep view, phase, caption and what lies in the picture, as typed."""
    locked_case(photo.case_id)
    photo.save(update_fields=["phase", "view", "carries", "caption"])
    record(
        by,
        "photo.described",
        photo.case,
        at=at,
        photo=photo.number,
        phase=photo.phase,
        view=photo.view,
        carries=photo.carries,
    )
    return photo


@deed()
def name_views(photos: Iterable[Photo], *, by: User, at: dt.datetime) -> None:
    """Keep the views of several photos of a case, all or none."""
    for photo in photos:
        describe(photo, by=by, at=at)


@deed()
def set_withdrawn(photo: Photo, withdrawn: bool, *, by: User, at: dt.datetime) -> None:
    """Take the photo out of the case, or put it back; the original stays kept either way."""
    locked_case(photo.case_id)
    photo.withdrawn_at = at if withdrawn else None
    photo.save(update_fields=["withdrawn_at"])
    verb = "photo.withdrawn" if withdrawn else "photo.put_back"
    record(by, verb, photo.case, at=at, photo=photo.number)


@deed()
def draw_tag(tag: Tag, *, at: dt.datetime) -> Tag:
    """Keep a place drawn on the photo; its points were checked by ``check_points``."""
    locked_case(tag.photo.case_id)
    tag.drawn_at = at
    tag.save()
    record(tag.drawn_by, "tag.drawn", tag.photo.case, at=at, photo=tag.photo.number, tag=tag.pk)
    return tag


@deed()
def move_tag(tag: Tag, *, by: User, at: dt.datetime) -> Tag:
    """Keep the new corners of a tag that was moved or changed."""
    locked_case(tag.photo.case_id)
    tag.save(update_fields=["points"])
    record(by, "tag.moved", tag.photo.case, at=at, photo=tag.photo.number, tag=tag.pk)
    return tag


@deed()
def set_tag_withdrawn(tag: Tag, withdrawn: bool, *, by: User, at: dt.datetime) -> None:
    """Take a tag off the photo or put it back; the row stays."""
    locked_case(tag.photo.case_id)
    tag.withdrawn_at = at if withdrawn else None
    tag.save(update_fields=["withdrawn_at"])
    verb = "tag.withdrawn" if withdrawn else "tag.put_back"
    record(by, verb, tag.photo.case, at=at, photo=tag.photo.number, tag=tag.pk)


def most_bytes() -> int:
    """How heavy a file may be to be kept, in bytes."""
    limit: int = settings.PHOTO_MAX_BYTES
    return limit
