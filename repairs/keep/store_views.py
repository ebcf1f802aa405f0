from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.audit.actions import deed, record
from repairs.jobs.actions import enqueue
from repairs.jobs.models import Job
from repairs.keep.standing import standing_of_files
from repairs.keep.store_models import FileCheck
from repairs.keep.tasks import MEND
from repairs.keep.verifying import NIGHTLY_PCT
from repairs.people.access import SignedInRequest, needs
from repairs.storage.shelves import Place, shelf_of

MOST_SHOWN = 200


@dataclass(frozen=True)
class Odd:
    """A file that is not as it should be, as the page shows it."""

    row: FileCheck
    label: str
    place: Place | None


@needs("house")
def store_page(request: SignedInRequest) -> HttpResponse:
    """How it stands with the files of the house, and each that is not what it was."""
    rows = list(FileCheck.objects.odd()[:MOST_SHOWN])
    facts = {
        "standing": standing_of_files(),
        "odd": list(_shown(rows)),
        "odd_n": FileCheck.objects.odd().count(),
        "is_mending": Job.objects.open().filter(name=MEND).exists(),
        "nights": -(-100 // NIGHTLY_PCT),
    }
    return render(request, "keep/store.html", facts)


def _shown(rows: Iterable[FileCheck]) -> Iterable[Odd]:
    """With the words of their shelves; one question to the database a shelf."""
    by_folder: dict[str, list[FileCheck]] = {}
    for row in rows:
        by_folder.setdefault(row.folder, []).append(row)
    for folder, here in by_folder.items():
        shelf = shelf_of(folder)
        asked = shelf.places if shelf else None
        places = asked([row.name for row in here]) if asked else {}
        label = str(shelf.label) if shelf else folder
        yield from (Odd(row, label, places.get(row.name)) for row in here)


@needs("house")
@require_POST
def store_mend(request: SignedInRequest) -> HttpResponse:
    """Look at what was found once more, and mend what can be mended without a backup."""
    if not Job.objects.open().filter(name=MEND).exists():
        with deed():
            enqueue(MEND, by=request.user)
            record(request.user, "store.mending", "store", at=timezone.now())
    messages.info(request, _("The files are being looked at once more; open this page again soon."))
    return redirect("keep:store")
