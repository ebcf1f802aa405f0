"""Pages of what the house owns: its tools, and its own limits."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.people.access import SignedInRequest, needs
from repairs.readings import actions
from repairs.readings.forms import LimitForm, ToolForm
from repairs.readings.limits import limited_figures
from repairs.readings.models import HouseLimit, Tool


@needs("record")
def tools(request: SignedInRequest) -> HttpResponse:
    form = ToolForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        actions.keep_tool(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("Saved."))
        return redirect("readings:tools")
    rows = Tool.objects.all()
    return render(request, "readings/tools.html", {"form": form, "tools": rows})


@needs("house")
def limits(request: SignedInRequest) -> HttpResponse:
    """Every figure that has a limit, with the gauge's own and the workshop's."""
    return render(request, "readings/limits.html", {"figures": limited_figures()})


@needs("house")
def limit_edit(request: SignedInRequest, gauge: str, figure: str) -> HttpResponse:
    known = {(row.gauge, row.figure): row for row in limited_figures()}
    if (gauge, figure) not in known:
        raise Http404
    present = actions.house_limit(gauge, figure)
    form = LimitForm(
        request.POST or None,
        instance=HouseLimit(
            gauge=gauge,
            figure=figure,
            lower=present.lower if present else None,
            upper=present.upper if present else None,
            source=present.source if present else "",
        ),
    )
    if request.method == "POST" and form.is_valid():
        actions.set_house_limit(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("Saved. Earlier verdicts keep their limits."))
        return redirect("readings:limits")
    facts = {"form": form, "row": known[(gauge, figure)]}
    return render(request, "readings/limit_form.html", facts)
