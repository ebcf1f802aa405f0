from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.audit import level
from repairs.audit.anchors import current_head
from repairs.audit.came_back import look_at, to_look_at
from repairs.audit.refusals import NoHeadError
from repairs.bench.log_head import answer_to, house_lines, moment_of
from repairs.bench.log_numbers import numbers_facts
from repairs.language.refusal import WorkshopError
from repairs.people.access import SignedInRequest, needs


@needs("house")
def log_head(request: SignedInRequest) -> HttpResponse:
    """The head of the log, and whether one that was kept is in it. For the principal."""
    return _page(request)


@needs("house")
@require_POST
def look_at_number(request: SignedInRequest) -> HttpResponse:
    """How far a line of numbers had come, after the house came back from a backup."""
    line = next((one for one in to_look_at() if one.mark == request.POST.get("line")), None)
    if line is None:  # somebody else did it meanwhile
        return redirect("bench:log_head")
    try:
        number = line.read(request.POST.get("number", ""))
    except WorkshopError as refusal:
        return _page(request, refusal.status)
    missing = line.missing(number)
    if missing and not request.POST.get("read"):
        return _page(request)  # it names them, and asks
    look_at(line, number, by=request.user, at=timezone.now())
    if missing:
        words = _(
            "%(label)s: the next number follows %(last)s. Missing here: %(first)s to %(last)s."
        )
        said = {"label": line.label.capitalize(), "first": missing[0], "last": missing[1]}
        messages.success(request, words % said)
    else:
        messages.success(request, _("%(label)s: confirmed.") % {"label": line.label.capitalize()})
    return redirect("bench:log_head")


def _page(request: SignedInRequest, status: int = 200) -> HttpResponse:
    typed = request.GET.get("head", "").strip()
    head = current_head()
    facts: dict[str, Any] = {
        "head": head,
        "at": moment_of(head),
        "behind": level.behind(),
        **numbers_facts(request),
        "lines": house_lines(),
        "typed": typed,
        "mailed_to": settings.HEAD_TO,
    }
    if typed:
        try:
            facts["answer"] = answer_to(typed)
        except NoHeadError as refusal:
            facts["refusal"] = str(refusal)
    return render(request, "bench/log_head.html", facts, status=status)


@needs("house")
@require_POST
def go_on(request: SignedInRequest) -> HttpResponse:
    """Go on from a database that is older than what lies beside the files, once that was read."""
    if not request.POST.get("read"):
        messages.error(request, _("Tick first that you have read what is missing."))
        return redirect("bench:log_head")
    level.go_on(by=request.user, at=timezone.now())
    messages.success(
        request, _("The house goes on. The next numbers follow the highest that were known.")
    )
    return redirect("bench:log_head")
