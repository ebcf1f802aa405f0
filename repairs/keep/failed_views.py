from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.jobs.models import Job
from repairs.keep import failed
from repairs.people.access import SignedInRequest, needs
from repairs.people.refusals import NotAllowedHereError


@needs("record")
def failed_page(request: SignedInRequest) -> HttpResponse:
    """Work beside the web that could not be done, with its reason and what may be done now."""
    return render(request, "keep/failed.html", {"failed": failed.failed_jobs(request.user)})


def _mine(request: SignedInRequest, job: str) -> Job:
    row = get_object_or_404(Job, uuid=job)
    if not failed.may_decide(row, request.user):
        raise NotAllowedHereError(role=request.user.get_role_display())
    return row


def _told(request: SignedInRequest, said: str, *, is_done: bool) -> HttpResponse:
    """Back to the list, with what was done or that somebody else was first."""
    if is_done:
        messages.success(request, said)
    else:
        messages.info(request, _("Somebody else has seen to it already."))
    return redirect("keep:failed")


@needs("record")
@require_POST
def failed_again(request: SignedInRequest, job: str) -> HttpResponse:
    """Have it done once more."""
    is_done = failed.try_again(_mine(request, job), by=request.user, at=timezone.now())
    return _told(request, _("It is being done once more."), is_done=is_done)


@needs("record")
@require_POST
def failed_let_go(request: SignedInRequest, job: str) -> HttpResponse:
    """Take it off the list."""
    is_done = failed.let_go(_mine(request, job), by=request.user, at=timezone.now())
    return _told(request, _("It was taken off the list."), is_done=is_done)
