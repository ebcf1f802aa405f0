"""Verbs on photos: send, describe, withdraw; draw a tag and move it."""

from __future__ import annotations

import datetime as dt
import fcntl
from collections.abc import Iterable

from django.conf import settings
from django.db import transaction
from django.db.models import Max

from repairs.audit.actions import deed, record
from repairs.cases.locks import locked_case
from repairs.jobs.actions import enqueue
from repairs.people.models import User
from repairs.photos import keeping
from repairs.photos.models import Original, Photo, Tag
from repairs.photos.refusals import UploadGoneError
from repairs.photos.upload_models import Upload

DEVELOP = "photos.develop"


@deed()
@transaction.atomic
def begin_upload(upload: Upload, *, at: dt.datetime) -> Upload:
    """Open the upload, or find the one that was cut off: same case, person, name, size, date.

    One that goes on takes the phase, the view and the rest that were chosen this time.
    """
    # Asked for twice at once it is opened once: whoever comes second finds it.
    locked_case(upload.case_id)
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
    """Keep the original of a whole upload, make its photo, and queue its development.

    When this returns, the file lies in the store under its hash, on the disk, and its row is
    committed: only then may anybody be told that the photo has come. Raises UploadGoneError.
    """
    with keeping.sent(upload) as sent, deed():
        locked_case(upload.case_id)
        fresh = Upload.objects.select_related("photo").get(pk=upload.pk)
        if fresh.photo is not None:
            upload.photo = fresh.photo
            return fresh.photo
        if sent is None:
            raise UploadGoneError(name=upload.name)
        photo = _new_photo(upload, sent.original(), at)
        upload.photo = photo
        upload.save(update_fields=["photo"])
        enqueue(DEVELOP, by=upload.by, upload=upload.pk)
    return photo


def _new_photo(upload: Upload, original: Original, at: dt.datetime) -> Photo:
    last = Photo.objects.filter(case=upload.case_id).aggregate(last=Max("number"))["last"]
    return Photo.objects.create(
        case=upload.case,
        number=(last or 0) + 1,
        original=original,
        phase=upload.phase,
        view=upload.view,
        carries=upload.carries,
        sent_name=upload.name,
        sent_at=at,
        sent_by=upload.by,
    )


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
