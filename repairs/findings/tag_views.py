"""The small JSON addresses that the drawing page talks to: tags drawn, moved, bound, withdrawn."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.conf import settings
from django.http import JsonResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.findings import actions
from repairs.findings.annotations import page
from repairs.findings.models import Finding
from repairs.people.access import SignedInRequest, needs
from repairs.photos import actions as photo_actions
from repairs.photos.models import Tag, check_points
from repairs.screens.bodies import json_object


def tag_json(tag: Tag) -> dict[str, Any]:
    """The tag as the drawing page holds it; without its finding when that was withdrawn."""
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


def read_json(request: SignedInRequest) -> dict[str, Any]:
    """What the drawing page sent. Raises BadTagError when it is no JSON object."""
    sent = json_object(request)
    if sent is None:
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


def points_of(shape: str, sent: dict[str, Any]) -> list[list[float]]:
    """The points of the shape, in shares of the photo. Raises BadTagError."""
    try:
        return check_points(shape, sent.get("points"))
    except ValueError as error:
        raise BadTagError(_("The tag must lie on the photo. Draw it again.")) from error


def tap_of(sent: dict[str, Any]) -> UUID | None:
    """The name that the page gave to what it sends; None from a page of a former release."""
    try:
        return UUID(sent["tap"]) if isinstance(sent.get("tap"), str) else None
    except ValueError as error:
        raise BadTagError(_("The request was cut off. Try again.")) from error


@needs("record")
@require_POST
def tag_create(request: SignedInRequest, number: str, photo: int) -> JsonResponse:
    """Keep a shape drawn on the photo; points are shares of its width and height, 0 to 1."""
    case = case_for(request.user, number, to="record")
    row = get_object_or_404(case.photos.ready(), number=photo)
    row.case = case
    try:
        sent = read_json(request)
        shape = str(sent.get("shape"))
        tag = Tag(photo=row, shape=shape, points=points_of(shape, sent), drawn_by=request.user)
        tag.tap = tap_of(sent)
        finding = _finding_of(case, sent)
    except BadTagError as fault:
        return JsonResponse({"error": str(fault)}, status=400)
    tag = actions.draw_tag(tag, finding, at=timezone.now())
    return JsonResponse({"tag": tag_json(fresh_tag(tag))}, status=201)


@needs("record")
@require_POST
def tag_change(request: SignedInRequest, number: str, photo: int, tag: int) -> JsonResponse:
    """Move a tag, or bind it to another finding."""
    case = case_for(request.user, number, to="record")
    row = get_object_or_404(Tag, pk=tag, photo__case=case, photo__number=photo)
    try:
        sent = read_json(request)
        points = points_of(row.shape, sent) if "points" in sent else None
        finding = _finding_of(case, sent)
    except BadTagError as fault:
        return JsonResponse({"error": str(fault)}, status=400)
    if points is not None:
        row.points = points
        photo_actions.move_tag(row, by=request.user, at=timezone.now())
    if "finding" in sent:
        actions.bind_tag(row, finding, by=request.user, at=timezone.now())
    return JsonResponse({"tag": tag_json(fresh_tag(row))})


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
    return JsonResponse({"tag": tag_json(fresh_tag(row))})


def fresh_tag(tag: Tag) -> Tag:
    """The tag as it is kept now, with photo, case and finding joined."""
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
