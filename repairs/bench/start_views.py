from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.bench.start import FORMS, MAY_STAY, is_empty, start
from repairs.people.access import SignedInRequest, may, needs
from repairs.people.actions import change_house
from repairs.people.house_models import House
from repairs.screens.beside import took

PASSED, LEFT = "start_passed", "start_left"


def opens_with_start(request: SignedInRequest) -> bool:
    """Whether the bench of an empty house opens on the start, for who may set the house up."""
    return may(request.user, "house") and not request.session.get(LEFT) and is_empty()


@needs("house")
def start_page(request: SignedInRequest) -> HttpResponse:
    """The steps that are worth taking before the first instrument; a short form is kept here."""
    key = request.POST.get("step", "")
    if request.method != "POST" or not key:  # Enter presses no key of a step
        return shown(request)
    if key not in FORMS:
        raise Http404
    instance = House.objects.first() or House.present()
    form = FORMS[key](request.POST, instance=instance, prefix=key)
    if not form.is_valid():
        facts = {"start": start(_passed(request), {key: form}), "form": form}
        return render(request, "bench/start.html", facts)
    change_house(form.save(commit=False), by=request.user, at=timezone.now())
    _pass(request, key)
    took(request, request.path, f"{key}-")
    messages.success(request, _("Saved."))
    return redirect("bench:start")


def shown(request: SignedInRequest) -> HttpResponse:
    """The page of the start, with its first open step unfolded."""
    return render(request, "bench/start.html", {"start": start(_passed(request))})


@needs("house")
@require_POST
def start_pass(request: SignedInRequest) -> HttpResponse:
    """Say that what a step speaks of stays as it is; or leave the whole start for later."""
    key = request.POST.get("step", "")
    if key in MAY_STAY:
        _pass(request, key)
        return redirect("bench:start")
    request.session[LEFT] = True
    return redirect("bench:home")


def _passed(request: SignedInRequest) -> list[str]:
    kept = request.session.get(PASSED, [])
    return list(kept) if isinstance(kept, list) else []


def _pass(request: SignedInRequest, key: str) -> None:
    request.session[PASSED] = sorted({*_passed(request), key})
