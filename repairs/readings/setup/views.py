"""The page of a guided set-up, and what is marked on it."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.language.refusal import WorkshopError
from repairs.people.access import SignedInRequest, needs
from repairs.readings.setup import actions
from repairs.readings.setup.gathering import marks_of, open_setup, standing_of
from repairs.readings.setup.orders import Order, order_for
from repairs.readings.setup.shown import line_words, rounds_shown, steps_shown
from repairs.readings.setup_models import SetUp, SetUpMark

What = SetUpMark.What
MOST_WORDS = 200


def _order_or_404(case: Case) -> Order:
    order = order_for(case)
    if order is None:
        raise Http404
    return order


@needs("view")
def page(request: SignedInRequest, number: str) -> HttpResponse:
    """The steps in the order of the hands, with what was read and what is next."""
    case = case_for(request.user, number, to="view")
    order = _order_or_404(case)
    setup = open_setup(case)
    facts: dict[str, Any] = {"case": case, "setup": setup, "order": order}
    if setup is not None:
        setup.case = case
        facts |= _facts(setup, order)
    return render(request, "readings/setup/page.html", facts)


def _facts(setup: SetUp, order: Order) -> dict[str, Any]:
    standing = standing_of(setup, order)
    marks = marks_of(setup)
    return {
        "standing": standing,
        "steps": steps_shown(order, standing, setup.case),
        "rounds": rounds_shown(standing, order),
        "line": line_words(standing),
        "known": marks[-1].pk if marks else 0,
        "is_resting": standing.rest_until is not None and standing.rest_until > timezone.now(),
    }


@needs("record")
@require_POST
def begin(request: SignedInRequest, number: str) -> HttpResponse:
    case = case_for(request.user, number, to="record")
    _order_or_404(case)
    actions.begin(case, by=request.user, at=timezone.now())
    return redirect("readings:setup", number)


@needs("record")
@require_POST
def end(request: SignedInRequest, number: str) -> HttpResponse:
    case = case_for(request.user, number, to="record")
    setup = case.setups.filter(ended_at=None).first()
    if setup is not None:  # ended by somebody else, or by the first of two clicks
        actions.end(setup, by=request.user, at=timezone.now())
    messages.success(request, _("The set-up is ended; its readings and rounds stay."))
    return redirect("readings:setup", number)


@needs("record")
@require_POST
def mark(request: SignedInRequest, number: str) -> HttpResponse:
    """Note that a step was seen, changed, played in or left out; then back to the steps."""
    case = case_for(request.user, number, to="record")
    order = _order_or_404(case)
    setup = open_setup(case)
    place = reverse("readings:setup", args=[number])
    wish = _wish(request, order)
    if setup is None or wish is None:
        messages.error(request, _("Nothing was noted: choose what happened at which step."))
        return redirect(place)
    setup.case = case
    if wish.what == What.LEFT_OUT and not wish.words:
        messages.error(request, _("Say why “%(step)s” is left out.") % {"step": wish.step})
        return redirect(f"{place}#step-{wish.step.key}")
    try:
        actions.mark(setup, order, wish, by=request.user, at=timezone.now())
    except WorkshopError as refusal:
        messages.error(request, str(refusal))
    return redirect(f"{place}#step-{wish.step.key}")


def _wish(request: SignedInRequest, order: Order) -> actions.Wish | None:
    """What the form asks for; None where it was not made by our page."""
    step = order.step(request.POST.get("step", ""))
    what = request.POST.get("what", "")
    known = request.POST.get("known", "")
    try:
        tap = uuid.UUID(request.POST.get("tap", ""))
    except ValueError:
        return None
    if step is None or what not in What.values or not (known.isdecimal() and len(known) < 12):
        return None
    if what == What.ROUND and not step.is_round:
        return None
    words = request.POST.get("words", "").replace("\0", "").strip()[:MOST_WORDS]
    # Each button of the form is a deed of its own: seen first, and changed after going back.
    return actions.Wish(step, what, words, uuid.uuid5(tap, what), int(known))
