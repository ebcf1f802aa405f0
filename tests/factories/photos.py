"""Photos through the real darkroom, and their tags."""

from __future__ import annotations

import io
from typing import Any

from django.utils import timezone
from PIL import Image

from repairs.cases.models import Case
from repairs.findings import actions as finding_actions
from repairs.findings.models import Finding
from repairs.people.models import User
from repairs.photos import actions as photo_actions
from repairs.photos import development
from repairs.photos.models import Photo, Tag
from repairs.photos.upload_models import Upload


def jpeg(width: int = 400, height: int = 300, *, seed: int = 1, **save: Any) -> bytes:
    """A small JPEG whose four corners differ, so that a turn of it can be seen."""
    image = Image.new("RGB", (width, height), (seed * 37 % 256, seed * 91 % 256, 120))
    image.paste((220, 30, 30), (0, 0, width // 4, height // 4))
    image.paste((30, 200, 30), (width - width // 4, 0, width, height // 4))
    out = io.BytesIO()
    image.save(out, "JPEG", quality=90, **save)
    return out.getvalue()


def upload(
    case: Case,
    data: bytes,
    *,
    by: User,
    name: str = "IMG_1.jpg",
    view: str = "front",
    phase: str = "arrival",
) -> Upload:
    """A whole upload that waits for the darkroom."""
    row = photo_actions.open_upload(
        Upload(case=case, by=by, name=name, size_bytes=len(data), phase=phase, view=view),
        at=timezone.now(),
    )
    photo_actions.append(row, [data], offset=0)
    photo_actions.complete(row, at=timezone.now())
    return Upload.objects.select_related("photo__case").get(pk=row.pk)


def photo(case: Case, *, by: User, data: bytes | None = None, **fields: Any) -> Photo:
    """A photo that went through the real darkroom."""
    row = upload(case, jpeg() if data is None else data, by=by, **fields)
    return development.develop(row)


def tag(
    photo: Photo,
    finding: Finding | None,
    *,
    by: User,
    shape: str = "line",
    points: list[list[float]] | None = None,
) -> Tag:
    drawn = photo_actions.draw_tag(
        Tag(photo=photo, shape=shape, points=points or [[0.2, 0.3], [0.4, 0.6]], drawn_by=by),
        at=timezone.now(),
    )
    if finding is not None:
        finding_actions.bind_tag(drawn, finding, by=by, at=timezone.now())
    return drawn
