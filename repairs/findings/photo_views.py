"""Looking over a photo: the page on which a finding is born, and what its module sends."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.findings import actions, seen_actions
from repairs.findings.forms import FindingForm
from repairs.findings.models import Finding
from repairs.findings.part_maps import drawing, laid_by
from repairs.findings.photo_page import finding_json, laid_json, photo_facts
from repairs.findings.refusals import MapDoesNotLieError
from repairs.findings.seen_forms import more_form, problem_of, seen_form
from repairs.findings.tag_views import (
    BadTagError,
    fresh_tag,
    points_of,
    read_json,
    tag_json,
    tap_of,
)
from repairs.language.refusal import WorkshopError
from repairs.people.access import SignedInRequest, needs
from repairs.photos.models import Photo, Tag
from repairs.screens.refusals import ChangedMeanwhileError

View = Callable[..., HttpResponseBase]


def answers_json(view: View) -> View:
    """Let a refusal reach the page's module as a sentence: ``{"error": …}`` with its status."""

    @wraps(view)
    def answering(request: SignedInRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """The answer of the view, or the refusal."""
        try:
            return view(request, *args, **kwargs)
        except BadTagError as fault:
            return JsonResponse({"error": str(fault)}, status=400)
        except WorkshopError as refusal:
            return JsonResponse({"error": str(refusal)}, status=refusal.status)

    return answering


def _photo_of(case: Case, photo: int) -> Photo:
    row: Photo = get_object_or_404(case.photos.ready(), number=photo)
    row.case = case
    return row


@needs("view")
def photo_detail(request: SignedInRequest, number: str, photo: int) -> HttpResponse:
    """One photo with its tags and findings; who records notes new ones on it. Every role."""
    case = case_for(request.user, number, to="view")
    row = get_object_or_404(case.photos.select_related("original"), number=photo)
    row.case = case
    facts = photo_facts(request, row, seen_form(case))
    return render(request, "findings/photo.html", facts)


@needs("view")
def part_map_of(request: SignedInRequest, number: str, name: str) -> HttpResponse:
    """Another map of the instrument's kind, for the page that is open. 404 where it has none."""
    case = case_for(request.user, number, to="view")
    chosen = [one for one in case.instrument.pattern.maps if one.name == name]
    if not chosen:
        return JsonResponse({"error": _("This kind has no such drawing.")}, status=404)
    return JsonResponse({"name": name, "svg": drawing(case.instrument, name)})


@needs("record")
@require_POST
def note_seen(request: SignedInRequest, number: str, photo: int) -> HttpResponseBase:
    """Note a finding where the photo was tapped: as JSON, or as the form of a page without script.

    The place is an existing draft (``tag``), or ``shape`` and ``points`` in shares of the photo,
    or none.
    """
    if request.content_type == "application/json":
        return _note_sent(request, number, photo)
    case = case_for(request.user, number, to="record")
    row = _photo_of(case, photo)
    form = seen_form(case, request.POST.dict())
    if not form.is_valid():
        return render(request, "findings/photo.html", photo_facts(request, row, form))
    kept = seen_actions.note_seen(form.save(commit=False), None, by=request.user, at=timezone.now())
    messages.success(request, _("Finding %(number)s is noted.") % {"number": kept.number})
    return redirect(row)


@answers_json
def _note_sent(request: SignedInRequest, number: str, photo: int) -> JsonResponse:
    case = case_for(request.user, number, to="record")
    row = _photo_of(case, photo)
    sent = read_json(request)
    tag = _place_of(row, sent, by=request)
    form = seen_form(case, sent)
    if not form.is_valid():
        return JsonResponse({"error": problem_of(form)}, status=400)
    finding = form.save(commit=False)
    finding.tap = tap_of(sent)
    kept = seen_actions.note_seen(finding, tag, by=request.user, at=timezone.now())
    return JsonResponse(_kept_json(row, kept), status=201)


def _kept_json(photo: Photo, finding: Finding) -> dict[str, Any]:
    links = finding.tag_links.filter(tag__photo=photo, tag__withdrawn_at=None)
    tag = links.select_related("tag").order_by("-pk").first()
    return {
        "finding": finding_json(finding),
        "tag": tag_json(fresh_tag(tag.tag)) if tag else None,
    }


def _place_of(photo: Photo, sent: dict[str, Any], *, by: SignedInRequest) -> Tag | None:
    """The draft that is named, or a new tag; None without a place. Raises BadTagError."""
    if "tag" in sent:
        wanted = sent["tag"] if type(sent["tag"]) is int else 0
        found = photo.tags.filter(pk=wanted, withdrawn_at=None).first()
        if found is None:
            raise BadTagError(_("That tag is no longer on the photo. Tap the place again."))
        found.photo = photo
        return found
    if sent.get("points") is None:
        return None
    shape = str(sent.get("shape"))
    return Tag(photo=photo, shape=shape, points=points_of(shape, sent), drawn_by=by.user)


@needs("record")
@require_POST
@answers_json
def more_of(request: SignedInRequest, number: str, photo: int, finding: int) -> JsonResponse:
    """Add to a finding that was just noted: whether it goes on, how far it goes, words, urgency."""
    case = case_for(request.user, number, to="record")
    _photo_of(case, photo)
    row = get_object_or_404(case.findings.present(), number=finding)
    row.case = case
    sent = read_json(request)
    form: FindingForm = more_form(row, sent)
    if not form.is_valid():
        return JsonResponse({"error": problem_of(form)}, status=400)
    seen = sent["seen"] if type(sent.get("seen")) is int else -1
    try:
        kept = actions.change_finding(
            form.save(commit=False), seen=seen, by=request.user, at=timezone.now()
        )
    except ChangedMeanwhileError:
        said = _said_already(case, finding, sent, by=request)
        if said is None:
            raise
        kept = said
    return JsonResponse({"finding": finding_json(kept)})


def _said_already(
    case: Case, number: int, sent: dict[str, Any], *, by: SignedInRequest
) -> Finding | None:
    """The finding, if the very same was added by the same person: the answer of then was lost."""
    row = case.findings.get(number=number)
    row.case = case
    stands = row.values()
    form = more_form(row, sent)
    is_same = form.is_valid() and form.save(commit=False).values() == stands
    return row if is_same and row.changed_by_id == by.user.pk else None


@needs("record")
@require_POST
@answers_json
def take_back(request: SignedInRequest, number: str, photo: int, finding: int) -> JsonResponse:
    """Undo a finding that was just noted on the photo; its number is not given again."""
    case = case_for(request.user, number, to="record")
    row = _photo_of(case, photo)
    kept = get_object_or_404(case.findings.all(), number=finding)
    if kept.withdrawn_at is None:
        seen_actions.take_back(kept, row, by=request.user, at=timezone.now())
    return JsonResponse({"number": kept.number, "next": _next_number(case)})


def _next_number(case: Case) -> int:
    return Case.objects.values_list("next_finding", flat=True).get(pk=case.pk)


@needs("record")
@require_POST
@answers_json
def lay_map(request: SignedInRequest, number: str, photo: int) -> JsonResponse:
    """Lay a map over the photo by four taps on its anchors, or take it off when there are none."""
    case = case_for(request.user, number, to="record")
    row = _photo_of(case, photo)
    sent = read_json(request)
    taps = sent.get("taps")
    if not taps:
        seen_actions.lift_map(row, by=request.user, at=timezone.now())
        return JsonResponse({"laid": None})
    name = str(sent.get("map"))
    if name not in {one.name for one in case.instrument.pattern.maps}:
        raise BadTagError(_("This kind has no such drawing."))
    places = _taps_of(taps)
    laid = laid_by(row, name, places)
    seen_actions.lay_map(row, name, places, by=request.user, at=timezone.now())
    return JsonResponse({"laid": laid_json(laid)})


def _taps_of(taps: object) -> dict[str, tuple[float, float]]:
    if not isinstance(taps, dict) or len(taps) > 20:
        raise MapDoesNotLieError(why=_("four places are needed, and not all of them in one line"))
    found = {str(name)[:40]: points_of("point", {"points": [at]})[0] for name, at in taps.items()}
    return {name: (x, y) for name, (x, y) in found.items()}
