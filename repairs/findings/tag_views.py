"""The photo with its tags, and the small JSON addresses that the drawing page talks to."""

from __future__ import annotations

import json
from typing import Any

from django.conf import settings
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.findings import actions
from repairs.findings.annotations import page
from repairs.findings.models import Finding
from repairs.people.access import SignedInRequest, may, needs
from repairs.photos import actions as photo_actions
from repairs.photos.forms import DescribeForm
from repairs.photos.models import Photo, Tag, check_points


@needs("view")
def photo_detail(request: SignedInRequest, number: str, photo: int) -> HttpResponse:
    """One photo with its tags and the findings they are bound to. Every role."""
    case = case_for(request.user, number, to="view")
    row = get_object_or_404(case.photos.select_related("original"), number=photo)
    row.case = case
    around = list(case.photos.ready().values_list("number", flat=True))
    facts = {
        "case": case,
        "photo": row,
        "form": DescribeForm(instance=row),
        "tagger": _tagger_data(request, case, row),
        "before": max((n for n in around if n < row.number), default=None),
        "after": min((n for n in around if n > row.number), default=None),
    }
    return render(request, "findings/photo.html", facts)


def _tagger_data(request: SignedInRequest, case: Case, photo: Photo) -> dict[str, Any]:
    tags = photo.tags.filter(withdrawn_at=None).select_related("finding_link__finding")
    findings = case.findings.present()
    base = [case.number, photo.number]
    return {
        "readonly": case.ended_at is not None or not may(request.user, "record"),
        "tags": [_as_json(tag) for tag in tags],
        "findings": [{"id": f.pk, "number": f.number, "label": str(f)} for f in findings],
        "urls": {
            "create": reverse("findings:tag_create", args=base),
            "change": reverse("findings:tag_change", args=[*base, 0]),
            "withdraw": reverse("findings:tag_withdraw", args=[*base, 0]),
            "restore": reverse("findings:tag_restore", args=[*base, 0]),
        },
    }


def _as_json(tag: Tag) -> dict[str, Any]:
    link = getattr(tag, "finding_link", None)
    finding = link.finding if link and link.finding.withdrawn_at is None else None
    return {
        "id": tag.pk,
        "shape": tag.shape,
        "points": tag.points,
        "finding": finding.pk if finding else None,
        "number": finding.number if finding else None,
    }


class BadTagError(Exception):
    """What the drawing page sent cannot be a tag; the text is for the person."""


def _read(request: SignedInRequest) -> dict[str, Any]:
    try:
        sent = json.loads(request.body or b"{}")
    except (ValueError, RecursionError) as error:
        raise BadTagError(_("The request was cut off. Try again.")) from error
    if not isinstance(sent, dict):
        raise BadTagError(_("The request was cut off. Try again."))
    return sent


def _finding_of(case: Case, sent: dict[str, Any]) -> Finding | None:
    wanted = sent.get("finding")
    if wanted is None:
        return None
    found = case.findings.present().filter(pk=wanted if type(wanted) is int else 0).first()
    if found is None:
        raise BadTagError(_("That finding is no longer in this case. Choose another."))
    return found


def _points_of(shape: str, sent: dict[str, Any]) -> list[list[float]]:
    try:
        return check_points(shape, sent.get("points"))
    except ValueError as error:
        raise BadTagError(_("The tag must lie on the photo. Draw it again.")) from error


@needs("record")
@require_POST
def tag_create(request: SignedInRequest, number: str, photo: int) -> JsonResponse:
    """Keep a shape drawn on the photo; points are shares of its width and height, 0 to 1."""
    case = case_for(request.user, number, to="record")
    row = get_object_or_404(case.photos.ready(), number=photo)
    row.case = case
    try:
        sent = _read(request)
        shape = str(sent.get("shape"))
        tag = Tag(photo=row, shape=shape, points=_points_of(shape, sent), drawn_by=request.user)
        finding = _finding_of(case, sent)
    except BadTagError as fault:
        return JsonResponse({"error": str(fault)}, status=400)
    actions.draw_tag(tag, finding, at=timezone.now())
    return JsonResponse({"tag": _as_json(_fresh(tag))}, status=201)


@needs("record")
@require_POST
def tag_change(request: SignedInRequest, number: str, photo: int, tag: int) -> JsonResponse:
    """Move a tag, or bind it to another finding."""
    case = case_for(request.user, number, to="record")
    row = get_object_or_404(Tag, pk=tag, photo__case=case, photo__number=photo)
    try:
        sent = _read(request)
        points = _points_of(row.shape, sent) if "points" in sent else None
        finding = _finding_of(case, sent)
    except BadTagError as fault:
        return JsonResponse({"error": str(fault)}, status=400)
    if points is not None:
        row.points = points
        photo_actions.move_tag(row, by=request.user, at=timezone.now())
    if "finding" in sent:
        actions.bind_tag(row, finding, by=request.user, at=timezone.now())
    return JsonResponse({"tag": _as_json(_fresh(row))})


@needs("record")
@require_POST
def tag_withdraw(request: SignedInRequest, number: str, photo: int, tag: int) -> JsonResponse:
    """Take a tag off the photo; it is kept and may be put back."""
    return _set_withdrawn(request, number, photo, tag, withdrawn=True)


@needs("record")
@require_POST
def tag_restore(request: SignedInRequest, number: str, photo: int, tag: int) -> JsonResponse:
    """Put a withdrawn tag back."""
    return _set_withdrawn(request, number, photo, tag, withdrawn=False)


def _set_withdrawn(
    request: SignedInRequest, number: str, photo: int, tag: int, *, withdrawn: bool
) -> JsonResponse:
    case = case_for(request.user, number, to="record")
    row = get_object_or_404(Tag, pk=tag, photo__case=case, photo__number=photo)
    photo_actions.set_tag_withdrawn(row, withdrawn, by=request.user, at=timezone.now())
    return JsonResponse({"tag": _as_json(_fresh(row))})


def _fresh(tag: Tag) -> Tag:
    return Tag.objects.select_related("photo__case", "finding_link__finding").get(pk=tag.pk)


@needs("view")
def photo_annotations(request: SignedInRequest, number: str, photo: int) -> JsonResponse:
    """All tags of the photo as a W3C AnnotationPage."""
    case = case_for(request.user, number, to="view")
    row = get_object_or_404(case.photos.select_related("original"), number=photo)
    row.case = case
    tags = list(
        row.tags.filter(withdrawn_at=None).select_related("finding_link__finding__part__instrument")
    )
    for tag in tags:
        tag.photo = row
    words = {t.pk: str(t.finding_link.finding) for t in tags if hasattr(t, "finding_link")}
    shown = page(tags, address=request.path, site=settings.SITE_ADDRESS, words=words)
    return JsonResponse(shown, content_type="application/ld+json")
