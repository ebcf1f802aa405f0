"""Jobs on photos."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.jobs.registry import About, Arguments, Progress, job
from repairs.photos import development
from repairs.photos.actions import DEVELOP
from repairs.photos.models import Photo
from repairs.photos.upload_models import Upload


def _about(jobs: Sequence[Arguments]) -> list[About | None]:
    rows = Photo.objects.filter(upload__in=[job["upload"] for job in jobs])
    known = {photo.upload.pk: photo for photo in rows.select_related("case", "upload")}
    return [_words(known.get(job["upload"])) for job in jobs]


def _words(photo: Photo | None) -> About | None:
    if photo is None:
        return None
    said = {"number": photo.number, "case": photo.case.number, "name": photo.sent_name}
    words = _("Photo %(number)s of %(case)s, %(name)s") % said
    return About(words, photo.get_absolute_url())


@job(
    DEVELOP,
    label=gettext_lazy("developing a photo"),
    deed="record",
    given_up=development.stand_as_failed,
    again=development.wait_again,
    let_go=development.withdraw_failed,
    about=_about,
)
def develop(upload: int, progress: Progress) -> None:
    """Verify one kept file and show it; a repeated run finds that it is done."""
    row = Upload.objects.select_related("photo__case", "photo__sent_by", "photo__original")
    found = row.filter(pk=upload).first()
    photo = found.photo if found else None
    if found is not None and photo is not None and photo.state == Photo.State.WAITING:
        development.develop(found)
    elif found is not None:
        found.path.unlink(missing_ok=True)  # the run before was cut off after its last write
    progress(1, 1)
