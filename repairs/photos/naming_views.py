from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.people.access import SignedInRequest, needs
from repairs.photos import actions
from repairs.photos.models import Photo
from repairs.photos.naming import read_names


@needs("record")
@require_POST
def name_views(request: SignedInRequest, number: str) -> HttpResponse:
    """Say of one photo or of several which view each shows, or take back what was said last."""
    case = case_for(request.user, number, to="record")
    undone = request.POST.get("undo", "")
    if undone.isdecimal() and len(undone) < 6:
        photos = list(case.photos.filter(number=undone))
        for photo in photos:
            photo.view = ""
        after = int(undone) - 1
    else:
        photos = read_names(case, request.POST.dict()) or []
        after = max((photo.number for photo in photos), default=0)
    for photo in photos:
        photo.case = case
    actions.name_views(photos, by=request.user, at=timezone.now())
    if not photos:
        messages.error(request, _("This photo has its view by now, or is not here any more."))
    return redirect(_asked_next(number, photos, after, is_undone=bool(undone)))


def _asked_next(number: str, photos: list[Photo], after: int, *, is_undone: bool) -> str:
    """The page that asks for the view of the photo after the last; it offers to take that back."""
    told: dict[str, object] = {"after": after}
    if len(photos) == 1 and not is_undone:
        told["named"] = after
    return f"{reverse('photos:add', args=[number])}?{urlencode(told)}#naming"
