"""Jobs on photos."""

from __future__ import annotations

from repairs.jobs.registry import Progress, job
from repairs.photos import actions
from repairs.photos.models import Photo
from repairs.photos.upload_models import Upload


@job("photos.develop")
def develop(upload: int, progress: Progress) -> None:
    """Verify one sent file and keep it; a repeated run finds that it is done."""
    row = Upload.objects.select_related("photo__case", "photo__sent_by").get(pk=upload)
    if row.photo is not None and row.photo.state == Photo.State.WAITING:
        actions.develop(row)
    else:
        row.path.unlink(missing_ok=True)  # the run before was cut off after its last write
    progress(1, 1)
