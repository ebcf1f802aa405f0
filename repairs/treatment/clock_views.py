from __future__ import annotations

import datetime as dt

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.people.access import SignedInRequest, may, needs
from repairs.screens.beside import took
from repairs.screens.minutes import understood_words
from repairs.treatment import actions, clocks
from repairs.treatment.forms import DescribeForm, MinutesForm, StopForm
from repairs.treatment.models import Intervention, WorkSpell
from repairs.treatment.refusals import ClockError
from repairs.treatment.spent import tally
from repairs.treatment.views import show_work, work_for


def warn_of_ceiling(request: SignedInRequest, case: Case) -> None:
    """Who starts a clock hears when the sum agreed is reached; to go on is theirs to decide."""
    if warning := tally(case).warning:
        messages.warning(request, warning)


@needs("record")
@require_POST
def clock(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    """Start, pause, resume or stop, as the button says; a clock left on is asked about."""
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    wanted = request.POST.get("do", "")
    wrong = _keep_words(request, row)
    if wrong is not None:
        return wrong
    if wanted == "start":
        clocks.start_clock(row, by=request.user, at=timezone.now())
        warn_of_ceiling(request, case)
        return redirect(row)
    if wanted not in ("pause", "stop"):
        raise Http404
    spell = _spell(row, request)
    if spell is not None:
        asked = _stop(request, row, spell)
        if asked is not None:
            return asked
    if wanted == "stop":
        actions.set_ended(row, True, by=request.user, at=timezone.now())
        if may(request.user, "sign_off"):
            return redirect("treatment:proof", case.number, row.number)
        messages.success(request, _("The work is ended. A luthier proves it and signs it off."))
    return redirect(row)


def _keep_words(request: SignedInRequest, work: Intervention) -> HttpResponse | None:
    """Save what is typed in words when a key of the clock is pressed; or the page that says why
    it cannot be, and nothing is stopped.

    Words that nobody touched are not saved: somebody else may have written others meanwhile.
    """
    if "told_was" not in request.POST:
        return None
    form = DescribeForm(request.POST, instance=work_for(work.case, work.number))
    if not form.is_valid():
        return show_work(request, work, {"describe_form": form, "wrong": form}, status=422)
    if form.was_typed:
        actions.describe_work(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("What you had typed is saved."))
    took(request, work.get_absolute_url(), *form.fields)
    return None


def _spell(work: Intervention, request: SignedInRequest) -> WorkSpell | None:
    """The clock meant by the button: one's own, or the one that the principal names."""
    running = work.spells.filter(ended_at=None).select_related("person", "intervention__case")
    named = request.POST.get("spell", "") or request.GET.get("spell", "")
    if named.isdecimal():
        return running.filter(pk=int(named)).first()
    return running.filter(person=request.user).first()


def _stop(request: SignedInRequest, work: Intervention, spell: WorkSpell) -> HttpResponse | None:
    """Stop the clock, or return the page that asks how long the work took."""
    now = timezone.now()
    typed = "minutes" in request.POST
    form = StopForm(request.POST if typed else None)
    refusal = ""
    if not typed and not clocks.is_left_on(spell, now):
        clocks.stop_clock(spell, by=request.user, at=now)
        return None
    if typed and form.is_valid():
        try:
            minutes = form.cleaned_data["minutes"]
            clocks.stop_clock(spell, by=request.user, at=now, minutes=minutes)
        except ClockError as error:
            refusal = str(error)
        else:
            messages.success(request, understood_words(form["minutes"].value(), minutes))
            return None
    facts = {
        "case": work.case,
        "work": work,
        "spell": spell,
        "form": form,
        "refusal": refusal,
        "wanted": request.POST.get("do"),
    }
    return render(request, "treatment/clock_left.html", facts, status=422)


@needs("record")
def minutes(request: SignedInRequest, number: str, work: int) -> HttpResponse:
    """Note minutes that no clock counted, as typed. For those who record."""
    case = case_for(request.user, number, to="record")
    row = work_for(case, work)
    hour_ago = timezone.localtime() - dt.timedelta(hours=1)
    blank = WorkSpell(intervention=row, person=request.user, started_at=hour_ago)
    form = MinutesForm(request.POST or None, instance=blank)
    if request.method == "POST" and form.is_valid():
        spell = clocks.type_minutes(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("The minutes are noted, marked as typed."))
        messages.info(request, understood_words(form["minutes"].value(), spell.minutes))
        return redirect(row)
    facts = {"case": case, "work": row, "form": form}
    return render(request, "treatment/minutes.html", facts)
