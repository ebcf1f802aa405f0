"""Pages of readings: choose a gauge, take, look, compute anew."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.gauges.base.errors import GaugeInputError
from repairs.people.access import SignedInRequest, needs
from repairs.readings import actions, anew, show
from repairs.readings.bench_card import cards_of
from repairs.readings.forms import ReadingForm
from repairs.readings.gauge_refusals import refusal_words
from repairs.readings.kept_words import promise_lines
from repairs.readings.known import known_of, nothing_moved, room_of_today
from repairs.readings.models import Reading
from repairs.readings.parse import raw_of
from repairs.readings.pulse import pulse_of
from repairs.readings.setup.after import after_facts
from repairs.readings.setup.orders import order_for
from repairs.readings.sheets.base import Sheet
from repairs.readings.sheets.catalogue import sheet_for, sheet_kept, sheet_of, sheets_for
from repairs.readings.slips import Shows
from repairs.readings.table import said_back, table_of
from repairs.readings.weighed import weighed
from repairs.screens.once import sent_again_is_harmless


@needs("record")
def choose(request: SignedInRequest, number: str) -> HttpResponse:
    """Which gauge: those that apply to the kind of instrument come first."""
    case = case_for(request.user, number, to="record")
    return render(request, "readings/choose.html", {"case": case, "sheets": sheets_for(case)})


def _sheet_or_404(case: Case, gauge: str) -> Sheet:
    """The sheet as the kind of instrument wants it: a violin has no wheel to be read."""
    try:
        return sheet_for(case, gauge)
    except KeyError:
        raise Http404 from None


@needs("record")
def take(request: SignedInRequest, number: str, gauge: str) -> HttpResponse:
    """The entry sheet of a gauge. Without JavaScript, “Compute” shows what the script shows."""
    case = case_for(request.user, number, to="record")
    sheet = _sheet_or_404(case, gauge)
    form = ReadingForm(
        request.POST if request.method == "POST" else None, instance=_blank(request, case, gauge)
    )
    facts: dict[str, Any] = {"case": case, "sheet": sheet, "form": form}
    facts["for_setup"] = "setup" in request.GET
    if request.method == "POST":
        raw, sources = raw_of(sheet, request.POST, request.FILES), {}
        answer = _post(request, sheet, form, raw, facts)
        if answer is not None:
            return answer
    else:
        facts["known"] = known = known_of(sheet, case, request.user, request.GET.get("as", ""))
        raw, sources = known.raw, known.sources
    kind = case.instrument.pattern
    facts["table"] = table_of(sheet, raw, facts.get("problems", ()), kind, sources)
    facts["forbidden"] = bool(sheet.needs) and getattr(case, sheet.needs) != Case.Leave.YES
    status = 200 if request.method == "GET" or "try" in request.POST else 422
    return render(request, "readings/take.html", facts, status=status)


def _blank(request: SignedInRequest, case: Case, gauge: str) -> Reading:
    """A reading of now, in the air of today, as whoever sent us here asks for it."""
    blank = Reading(case=case, gauge=gauge, taken_at=timezone.localtime())
    if request.GET.get("phase") in Reading.Phase.values:  # as the proof of some work asks for it
        blank.phase = request.GET["phase"]
    if (told := request.GET.get("round", "")).isdecimal() and len(told) < 4:
        blank.round = int(told)  # as the set-up counts; only a form that asks for it keeps it
    blank.room_t_c, blank.room_rh_pct = room_of_today(case)
    return blank


def _post(
    request: SignedInRequest,
    sheet: Sheet,
    form: ReadingForm,
    raw: dict[str, Any],
    facts: dict[str, Any],
) -> HttpResponse | None:
    """Save, or fill ``facts`` with what is wrong and what would come out."""
    form_ok = form.is_valid()
    if form_ok and form.cleaned_data["not_permitted"] and "try" not in request.POST:
        return _save(request, form, raw)
    tool = form.cleaned_data.get("tool")
    shows = Shows(float(tool.resolution), tool.unit) if tool else None
    problems, doubts, computed = weighed(sheet, raw, shows)
    doubts = [*nothing_moved(sheet, raw, request.POST.get("as_last", "")), *doubts]
    facts["problems"] = problems
    facts["doubts"] = [] if "so_it_is" in request.POST else doubts
    if "try" not in request.POST and not problems and not facts["doubts"] and form_ok:
        return _save(request, form, raw, computed)
    if computed is not None:
        left_handed = facts["case"].instrument.left_handed
        facts["shown"] = show.tried(sheet, computed, left_handed=left_handed)
    return None


def _save(
    request: SignedInRequest,
    form: ReadingForm,
    raw: dict[str, Any],
    computed: actions.Computed | None = None,
) -> HttpResponse:
    reading = form.save(commit=False)
    reading.raw = raw
    actions.save_reading(reading, computed, by=request.user, at=timezone.now())
    messages.success(request, _("Reading %(number)s is kept.") % {"number": reading.number})
    if "setup" in request.GET:
        return redirect(_back_to_setup(reading))
    return redirect("readings:detail", reading.case.number, reading.number)


def _back_to_setup(reading: Reading) -> str:
    """The step of the set-up that the reading was taken for."""
    order = order_for(reading.case)
    step = order.step_of(reading.gauge) if order else None
    place = reverse("readings:setup", args=[reading.case.number])
    return f"{place}#step-{step.key}" if step else place


@sent_again_is_harmless("nothing is kept")
@needs("record")
@require_POST
def try_values(request: SignedInRequest, number: str, gauge: str) -> HttpResponse:
    """The picture and the figures of values being typed; nothing is kept."""
    case = case_for(request.user, number, to="record")
    sheet = _sheet_or_404(case, gauge)
    raw = raw_of(sheet, request.POST, request.FILES)
    problems, doubts, computed = weighed(sheet, raw)
    facts: dict[str, Any] = {"problems": problems, "doubts": doubts}
    facts["read_as"] = said_back(table_of(sheet, raw, ()))
    if computed is not None:
        left_handed = case.instrument.left_handed
        facts["shown"] = show.tried(sheet, computed, left_handed=left_handed)
    return render(request, "readings/_tried.html", facts)


def _reading(case: Case, reading: int) -> Reading:
    rows = case.readings.select_related("tool", "taken_by").prefetch_related(
        "results__verdicts", "results__prescriptions"
    )
    row = get_object_or_404(rows, number=reading)
    row.case = case
    return row


@needs("view")
def detail(request: SignedInRequest, number: str, reading: int) -> HttpResponse:
    case = case_for(request.user, number, to="view")
    row = _reading(case, reading)
    before = anew.last_before(row)
    sheet = sheet_kept(row)
    facts = {
        "case": case,
        "reading": row,
        "shown": show.saved(row, before),
        "before": before,
        "changes": show.changes(before, row) if before and row.latest else [],
        "promises": promise_lines(before, row) if before else [],
        **_anew(sheet, row),
        "results": row.results.all(),
        "table": table_of(sheet, row.raw, ()),
        "cards": cards_of(row),
        "pulse": pulse_of(row, request.user),
    }
    return render(request, "readings/detail.html", facts)


@needs("view")
def card(request: SignedInRequest, number: str, reading: int) -> HttpResponse:
    """What the reading asks the hands to do, to be ticked at the bench or printed."""
    case = case_for(request.user, number, to="view")
    row = _reading(case, reading)
    facts = {"case": case, "reading": row, "cards": cards_of(row), **after_facts(row)}
    return render(request, "readings/card.html", facts)


def _anew(sheet: Sheet, row: Reading) -> dict[str, Any]:
    """What the present code says otherwise, or why it refuses what an earlier one took."""
    try:
        return {"differences": anew.otherwise(row, actions.differences(row))}
    except GaugeInputError as refusal:
        return {"refused": refusal_words(sheet, refusal)}


@needs("record")
@require_POST
def recompute(request: SignedInRequest, number: str, reading: int) -> HttpResponse:
    case = case_for(request.user, number, to="record")
    row = _reading(case, reading)
    if row.not_permitted:
        raise Http404
    try:
        actions.recompute(row, by=request.user, at=timezone.now())
    except GaugeInputError as refusal:
        messages.error(request, refusal_words(sheet_of(row.gauge), refusal))
    else:
        messages.success(request, _("Computed anew; the earlier result stays beside it."))
    return redirect("readings:detail", number, reading)


@needs("record")
@require_POST
def withdraw(request: SignedInRequest, number: str, reading: int) -> HttpResponse:
    """Withdraw or put back, as the button says."""
    case = case_for(request.user, number, to="record")
    row = _reading(case, reading)
    is_undo = "undo" in request.POST
    actions.set_withdrawn(row, not is_undo, by=request.user, at=timezone.now())
    return redirect("readings:detail", number, reading)
