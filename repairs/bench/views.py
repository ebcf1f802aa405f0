from __future__ import annotations

from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.audit.came_back import to_look_at
from repairs.audit.level import is_level
from repairs.bench.board import board, days
from repairs.bench.contents import contents
from repairs.bench.counter import serve
from repairs.bench.docket import docket
from repairs.bench.forms import SmallJobForm
from repairs.bench.next_step import next_step
from repairs.bench.search import find
from repairs.bench.shown import WHOLE
from repairs.bench.start import is_empty
from repairs.bench.start_views import opens_with_start
from repairs.bench.start_views import shown as start_shown
from repairs.cases.access import case_for
from repairs.jobs.models import Job
from repairs.keep.standing import standing_of_files
from repairs.keep.state import keep_state
from repairs.language.refusal import WorkshopError
from repairs.people.access import SignedInRequest, may, needs
from repairs.screens.minutes import understood_words
from repairs.storage.space import space_left_short
from repairs.treatment.clocks import is_left_on, open_spell
from repairs.treatment.spent import tally


@needs("view")
def home(request: SignedInRequest) -> HttpResponse:
    """The board of the day: what waits, what is promised, whose clock runs. Every role.

    A house in which nothing was ever taken in opens on its start, for who may set it up.
    """
    if opens_with_start(request):
        return start_shown(request)
    today = timezone.localdate()
    spell = open_spell(request.user)
    heaps = board(today, request.GET.get(WHOLE, ""))
    facts = {
        "board": heaps,
        "days": days(today, heaps),
        "today": today,
        "keep": keep_state(timezone.now()) if may(request.user, "house") else None,
        "spell": spell,
        "spent": tally(spell.intervention.case) if spell else None,
        "is_first_run": not any(column.cases for column in heaps) and is_empty(),
        "is_behind": not is_level(),
        "lines_to_look_at": to_look_at(),
        "space_mb": space_left_short(),
        "left_on": spell is not None and is_left_on(spell, timezone.now()),
        "files": standing_of_files() if may(request.user, "house") else None,
        "failed_n": Job.objects.failed().count() if may(request.user, "record") else 0,
    }
    return render(request, "bench/home.html", facts)


@needs("take_in")
def counter(request: SignedInRequest) -> HttpResponse:
    """A small job while the owner waits."""
    form = SmallJobForm(request.POST or None)
    facts: dict[str, Any] = {"form": form}
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            case = serve(form.job(), by=request.user, at=timezone.now())
        except WorkshopError as refusal:
            facts["refusal"], status = str(refusal), 409
        else:
            said = {"number": case.number}
            messages.success(request, _("Noted as case %(number)s, done and signed.") % said)
            typed, minutes = form["minutes"].value(), form.cleaned_data["minutes"]
            messages.info(request, understood_words(typed, minutes))
            return redirect(case)
    return render(request, "bench/counter.html", facts, status=status)


@needs("view")
def search(request: SignedInRequest) -> HttpResponse:
    """Look for words in all that the house keeps; money only for who may see it. Every role."""
    words = request.GET.get("q", "").strip()
    found = find(words, with_money=may(request.user, "see_money"))
    return render(request, "bench/search.html", {"words": words, "found": found})


@needs("view")
def case_page(request: SignedInRequest, number: str) -> HttpResponse:
    """The one page of a case, from the owner's words to the log. Every role."""
    case = case_for(request.user, number, to="view")
    facts = docket(case, request.GET.get(WHOLE, ""))
    allowed = partial(may, request.user)
    facts["next_step"] = next_step(facts, allowed)
    facts["rooms"] = contents(
        facts, with_prices=allowed("see_prices"), with_money=allowed("see_money")
    )
    return render(request, "bench/case.html", facts)
