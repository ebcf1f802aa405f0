"""The page of the backups, for the principal."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.jobs.models import Job
from repairs.keep.due import BACK_UP, queue_backup
from repairs.keep.models import KeepRun
from repairs.keep.sheet import recovery_sheet
from repairs.keep.state import keep_state
from repairs.language.text import spoken
from repairs.people.access import SignedInRequest, needs

RUNS_SHOWN = 12


@needs("house")
def backups(request: SignedInRequest) -> HttpResponse:
    """When the last good backup and drill were, where they lie, and the runs. For the principal."""
    facts = {
        "state": keep_state(timezone.now()),
        "runs": KeepRun.objects.order_by("-pk")[:RUNS_SHOWN],
        "under_way": Job.objects.open().filter(name=BACK_UP).exists(),
    }
    return render(request, "keep/backups.html", facts)


@needs("house")
@require_POST
def back_up_now(request: SignedInRequest) -> HttpResponse:
    """Queue a backup beside the web."""
    if queue_backup(by=request.user) is None:
        messages.info(request, _("A backup is under way already."))
    else:
        messages.success(request, _("The backup is being made. Look here again in a while."))
    return redirect("keep:backups")


@needs("house")
@require_POST
def sheet(request: SignedInRequest) -> HttpResponse:
    """The recovery sheet as PDF; the key on it is made now and kept nowhere."""
    printed = recovery_sheet(
        language=spoken(get_language() or ""),
        with_key=request.POST.get("key") == "new",
        at=timezone.now(),
        by=request.user,
    )
    answer = HttpResponse(printed.pdf, content_type="application/pdf")
    answer["Content-Disposition"] = 'attachment; filename="recovery-sheet.pdf"'
    return answer
