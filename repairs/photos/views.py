from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpResponse
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
from repairs.photos.development import develop_again
from repairs.photos.forms import DescribeForm, PhotosForm
from repairs.photos.models import Photo, views_taken
from repairs.photos.naming import naming, unnamed
from repairs.photos.refusals import NoRoomError, PictureMissingError
from repairs.photos.sending_views import too_heavy
from repairs.photos.upload_models import Upload
from repairs.press.models import Paper
from repairs.storage import files as store
from repairs.storage.space import FULL

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
    taken = 0
    for file in chosen["files"]:
        if file.size > actions.most_bytes():
            said = {"name": file.name, "why": too_heavy()}
            messages.error(request, _("“%(name)s” was not kept: %(why)s") % said)
            continue
        try:
            _take_whole(request, case, chosen, file)
        except OSError as fault:
            if fault.errno not in FULL:
                raise
            messages.error(request, str(NoRoomError(name=file.name)))
        else:
            taken += 1
    if taken:
        messages.success(request, _("The photos are being checked; this page shows each one."))


def _take_whole(
    request: SignedInRequest, case: Case, chosen: dict[str, Any], file: UploadedFile
) -> None:
    size = file.size or 0
    labels = {key: chosen[key] for key in ("phase", "view", "carries")}
    name = (file.name or "")[:200]
    upload = actions.open_upload(
        Upload(case=case, by=request.user, name=name, size_bytes=size, **labels),
        at=timezone.now(),
    )
    actions.append(upload, file.chunks(), offset=0)
    actions.complete(upload, at=timezone.now())


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
    if path is None and row.state != Photo.State.READY:
        raise Http404  # it is still being developed, or could not be
    if path is None:
        raise PictureMissingError
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
def photo_develop(request: SignedInRequest, number: str, photo: int) -> HttpResponse:
    """Try a photo once more that could not be developed; one that is on its way is left alone."""
    case = case_for(request.user, number, to="record", after_end=True)
    row = get_object_or_404(case.photos, number=photo)
    if row.state == Photo.State.FAILED:
        develop_again(row, by=request.user, at=timezone.now())
        said = {"number": row.number}
        messages.success(request, _("Photo %(number)s is being developed once more.") % said)
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
