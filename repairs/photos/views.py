from __future__ import annotations

import json
from typing import Any

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import get_valid_filename
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.cases.paper_kinds import INTAKE_RECEIPT
from repairs.language.text import labelled
from repairs.people.access import SignedInRequest, needs
from repairs.photos import actions
from repairs.photos.darkroom import SIZES
from repairs.photos.forms import BeginForm, DescribeForm, PhotosForm
from repairs.photos.models import REFUSALS, Photo, views_taken
from repairs.photos.naming import naming, unnamed
from repairs.photos.upload_models import Upload
from repairs.press.models import Paper
from repairs.screens.once import sent_again_is_harmless
from repairs.storage import files as store

LAST_PHOTOS = 12  # the page is no gallery: that is the room of the case


@needs("record")
def photos_add(request: SignedInRequest, number: str) -> HttpResponse:
    """The page that takes many photos; without JavaScript they come as one form."""
    case = case_for(request.user, number, to="record")
    form = PhotosForm(
        request.POST or None,
        request.FILES or None,
        case=case,
        initial={"phase": request.GET.get("phase"), "view": request.GET.get("view")},
    )
    if request.method == "POST" and form.is_valid():
        _take_whole_files(request, case, form.cleaned_data)
        return redirect("photos:add", case.number)
    recent = case.photos.filter(withdrawn_at=None).select_related("original").order_by("-number")
    facts = {
        "case": case,
        "form": form,
        "photos": recent[:LAST_PHOTOS],
        **_views_asked(request, case),
        "wants_receipt": Paper.objects.current(INTAKE_RECEIPT, case.log_key) is None,
    }
    return render(request, "photos/add.html", facts)


def _views_asked(request: SignedInRequest, case: Case) -> dict[str, Any]:
    """The views still to be shot, and the photo of which it is asked which one it shows.

    It is asked while a standard view is missing; later photos mostly show a detail, and then only
    when somebody wishes it (``after`` in the address).
    """
    taken = views_taken(case.photos.present())
    views = case.instrument.pattern.views
    missing = [view for view in views if view.required and view.slug not in taken]
    after = _number(request.GET.get("after", ""))
    is_asked = after is not None or missing
    named = _number(request.GET.get("named", ""))
    return {
        "missing_views": missing,
        "naming": naming(case, after or 0) if is_asked else None,
        "named": case.photos.filter(number=named).exclude(view="").first() if named else None,
        "unnamed_count": len(unnamed(case)),
    }


def _number(words: str) -> int | None:
    return int(words) if words.isdecimal() and len(words) < 6 else None


def _take_whole_files(request: SignedInRequest, case: Case, chosen: dict[str, Any]) -> None:
    most = actions.most_bytes()
    heavy = [file.name for file in chosen["files"] if file.size > most]
    light = [file for file in chosen["files"] if file.size <= most]
    for file in light:
        upload = actions.open_upload(
            Upload(
                case=case,
                by=request.user,
                name=file.name[:200],
                size_bytes=file.size,
                phase=chosen["phase"],
                view=chosen["view"],
                carries=chosen["carries"],
            ),
            at=timezone.now(),
        )
        actions.append(upload, file.chunks(), offset=0)
        actions.complete(upload, at=timezone.now())
    for name in heavy:
        messages.error(
            request,
            _("“%(name)s” was not kept: %(why)s")
            % {
                "name": name,
                "why": _too_heavy(),
            },
        )
    if light:
        messages.success(request, _("The photos are being checked; this page shows each one."))


def _too_heavy() -> str:
    return str(REFUSALS["too_heavy"]) % {"most": actions.most_bytes() // 1024**2}


@needs("record")
@require_POST
def upload_begin(request: SignedInRequest, number: str) -> JsonResponse:
    """Announce a photo and learn where its bytes go; a broken one goes on where it stopped."""
    case = case_for(request.user, number, to="record")
    try:
        sent = json.loads(request.body or b"{}")
    except (ValueError, RecursionError):
        sent = None
    if not isinstance(sent, dict):
        return JsonResponse({"error": _("The request was cut off. Try again.")}, status=400)
    form = BeginForm(sent, case=case)
    if not form.is_valid():
        return JsonResponse({"error": _("The name or size of the file is missing.")}, status=400)
    said = form.cleaned_data
    if said["size"] > actions.most_bytes():
        return JsonResponse({"error": _too_heavy()}, status=413)
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
def upload_send(request: SignedInRequest, number: str, uuid: str) -> JsonResponse:
    """Take one piece at its place; a piece at another place is told where to go on."""
    case = case_for(request.user, number, to="record")
    upload = get_object_or_404(case.uploads, uuid=uuid, by=request.user)
    if upload.photo_id:
        return JsonResponse(_sent(upload))
    offset = request.GET.get("offset", "")
    if not offset.isdecimal() or int(offset) + len(request.body) > upload.size_bytes:
        return JsonResponse(
            {"error": _("The file grew while it was sent. Choose it again.")}, status=400
        )
    if not actions.append(upload, [request.body], offset=int(offset)):
        upload.refresh_from_db()
        told = 200 if upload.photo_id else 409
        return JsonResponse(_sent(upload), status=told)
    if upload.offset == upload.size_bytes:
        actions.complete(upload, at=timezone.now())
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


@needs("view")
def picture(request: SignedInRequest, number: str, photo: int, size: int) -> FileResponse:
    """Serve a derivative, which bears no EXIF: no place is ever handed out."""
    case = case_for(request.user, number, to="view")
    row = get_object_or_404(case.photos.select_related("original"), number=photo)
    if size not in SIZES or row.original is None:
        raise Http404
    # A photo that was developed before a size was added is served at its next larger one.
    larger = [store.path_of(row.original.derivative(px)) for px in reversed(SIZES) if px >= size]
    path = next((path for path in larger if path.exists()), None)
    if path is None:
        raise Http404
    name = get_valid_filename(f"{case.number}-{row.number}-{size}.jpg")
    return FileResponse(path.open("rb"), content_type="image/jpeg", filename=name)


@needs("record")
@require_POST
def photo_describe(request: SignedInRequest, number: str, photo: int) -> HttpResponse:
    """Change phase, view or caption, or what lies in the picture."""
    case = case_for(request.user, number, to="record")
    row = get_object_or_404(case.photos, number=photo)
    row.case = case
    form = DescribeForm(request.POST, instance=row)
    if form.is_valid():
        actions.describe(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("Saved."))
    else:
        for name, errors in form.errors.items():
            messages.error(request, labelled(form.fields[name].label, errors[0]))
    return redirect("findings:photo", number, photo)


@needs("record")
@require_POST
def photo_withdraw(request: SignedInRequest, number: str, photo: int) -> HttpResponse:
    """Take a photo off the case; its file stays."""
    case = case_for(request.user, number, to="record")
    row = get_object_or_404(case.photos, number=photo, withdrawn_at=None)
    actions.set_withdrawn(row, True, by=request.user, at=timezone.now())
    facts = {"case": case, "photo": row}
    return render(request, "photos/withdrawn.html", facts)


@needs("record")
@require_POST
def photo_restore(request: SignedInRequest, number: str, photo: int) -> HttpResponse:
    """Put a withdrawn photo back."""
    case = case_for(request.user, number, to="record")
    row = get_object_or_404(case.photos, number=photo)
    actions.set_withdrawn(row, False, by=request.user, at=timezone.now())
    messages.success(request, _("Photo %(number)s is back.") % {"number": row.number})
    return redirect("findings:photo", number, photo)
