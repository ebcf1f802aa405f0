"""A photo in pieces: begun, sent, asked after; the browser's script talks to these."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import JsonResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.people.access import SignedInRequest, needs
from repairs.photos import actions
from repairs.photos.forms import BeginForm
from repairs.photos.models import REFUSALS, Photo
from repairs.photos.refusals import NoRoomError, UploadGoneError
from repairs.photos.upload_models import Upload
from repairs.screens.bodies import json_object, raw_body
from repairs.screens.once import sent_again_is_harmless
from repairs.storage.space import FULL


def too_heavy() -> str:
    """Why a file with too many bytes is not taken."""
    return str(REFUSALS["too_heavy"]) % {"most": actions.most_bytes() // 1024**2}


def _tells_no_room(view: Callable[..., JsonResponse]) -> Callable[..., JsonResponse]:
    """Answer a full disk with a sentence; the browser tries again by itself for a while."""

    @wraps(view)
    def told(request: SignedInRequest, *args: Any, **kwargs: Any) -> JsonResponse:
        """What the view answers, or that there is no room."""
        try:
            return view(request, *args, **kwargs)
        except OSError as fault:
            if fault.errno not in FULL:
                raise
            refusal = NoRoomError(name=_("The photo"))
            return JsonResponse({"error": str(refusal)}, status=refusal.status)

    return told


@needs("record")
@require_POST
@_tells_no_room
def upload_begin(request: SignedInRequest, number: str) -> JsonResponse:
    """Announce a photo and learn where its bytes go; a broken one goes on where it stopped."""
    case = case_for(request.user, number, to="record")
    sent = json_object(request)
    if sent is None:
        return JsonResponse({"error": _("The request was cut off. Try again.")}, status=400)
    form = BeginForm(sent, case=case)
    if not form.is_valid():
        return JsonResponse({"error": _("The name or size of the file is missing.")}, status=400)
    said = form.cleaned_data
    if said["size"] > actions.most_bytes():
        return JsonResponse({"error": too_heavy()}, status=413)
    upload = actions.begin_upload(
        Upload(
            case=case,
            by=request.user,
            name=said["name"],
            size_bytes=said["size"],
            modified=said["modified"],
            phase=said["phase"],
            view=said["view"],
            carries=said["carries"],
        ),
        at=timezone.now(),
    )
    return JsonResponse({"upload": str(upload.uuid), "offset": upload.offset})


@sent_again_is_harmless("each piece says its own place")
@needs("record")
@require_POST
@_tells_no_room
def upload_send(request: SignedInRequest, number: str, uuid: str) -> JsonResponse:
    """Take one piece at its place; a piece at another place is told where to go on."""
    case = case_for(request.user, number, to="record")
    upload = get_object_or_404(case.uploads, uuid=uuid, by=request.user)
    if upload.photo_id:
        return JsonResponse(_sent(upload))
    offset = request.GET.get("offset", "")
    piece = raw_body(request)
    if piece is None or not offset.isdecimal() or int(offset) + len(piece) > upload.size_bytes:
        return JsonResponse(
            {"error": _("The file grew while it was sent. Choose it again.")}, status=400
        )
    if not actions.append(upload, [piece], offset=int(offset)):
        upload.refresh_from_db()
        told = 200 if upload.photo_id else 409
        return JsonResponse(_sent(upload), status=told)
    if upload.offset == upload.size_bytes:
        try:
            actions.complete(upload, at=timezone.now())
        except UploadGoneError as gone:
            return JsonResponse({"error": str(gone)}, status=gone.status)
    return JsonResponse(_sent(upload))


def _sent(upload: Upload) -> dict[str, Any]:
    done = upload.photo_id is not None
    offset = upload.size_bytes if done else upload.offset
    return {"offset": offset, "done": done, "photo": upload.photo_id}


@needs("view")
def photo_states(request: SignedInRequest, number: str) -> JsonResponse:
    """How far the asked photos are, at most 200, for the page that waits for them."""
    case = case_for(request.user, number, to="view")
    words = request.GET.get("ids", "").split(",")
    wanted = [word for word in words if word.isdecimal() and len(word) < 19][:200]
    rows = case.photos.filter(pk__in=wanted).select_related("original")
    states = []
    for photo in rows:
        photo.case = case
        ready = photo.state == Photo.State.READY
        states.append(
            {
                "id": photo.pk,
                "state": photo.state,
                "message": photo.refusal_text,
                "thumb": photo.thumb_address if ready else "",
            }
        )
    return JsonResponse({"photos": states})
