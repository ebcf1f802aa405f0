"""The page of causes: what is told, causes in the order of probability, what to look at next, and
what it was in the end."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.causes.actions import say_what_it_was
from repairs.causes.diagnosis import Told, diagnose, symptoms_of
from repairs.causes.forms import ItWasForm
from repairs.causes.it_was import empty_form, seeing, shown
from repairs.causes.practice import known_from_closed, standing_of
from repairs.causes.tables import history_choices, symptom_choices, table_of
from repairs.gauges.causes.net import Past
from repairs.gauges.causes.table import Table
from repairs.people.access import SignedInRequest, needs
from repairs.screens.fields import read_decimal
from repairs.screens.refusals import ChangedMeanwhileError

MOST_DAYS = 40_000
TOLD_BY = ("symptom", "silent", "past", "is_so", "not_so", "gone", "stays")


@needs("view")
def diagnosis(request: SignedInRequest, number: str) -> HttpResponse:
    """Causes in order, from what is told, read and found."""
    case = case_for(request.user, number, to="view")
    return render(request, "causes/diagnosis.html", _facts(case, request.GET))


@needs("record")
@require_POST
def say(request: SignedInRequest, number: str) -> HttpResponse:
    """“It was this”: keep it; when somebody else was faster, both stand on the page."""
    case = case_for(request.user, number, to="record")
    form = ItWasForm(request.POST, kind=case.instrument.kind)
    if not form.is_valid():
        return render(request, "causes/diagnosis.html", _facts(case, request.POST, form))
    heard, denied = symptoms_of(case, _told(request.POST, case.instrument.kind))
    said = form.said({"heard": heard, "denied": denied})
    try:
        say_what_it_was(case, said, by=request.user, at=timezone.now())
    except ChangedMeanwhileError as refusal:
        facts = _facts(case, request.POST, form)
        form.data = seeing(request.POST, facts["it_was"].standing)
        return render(
            request, "causes/diagnosis.html", facts | {"refusal": str(refusal)}, status=409
        )
    messages.success(request, _("It is kept what it was; it may be changed during the stay."))
    place = reverse("readings:diagnosis", args=[number])
    told = urlencode(list(_carried(request.POST)))
    return redirect(f"{place}{'?' if told else ''}{told}#what-it-was")


def _facts(case: Case, typed: QueryDict, form: ItWasForm | None = None) -> dict[str, Any]:
    """All that the page shows; with the form as it was typed, where it comes back."""
    kind, told = case.instrument.kind, _told(typed, case.instrument.kind)
    known, standing = known_from_closed(case), standing_of(case)
    found = diagnose(case, told, known.practice)
    asking = {
        "symptoms": symptom_choices(kind),
        "history": [(word, _days(typed, word.key)) for word in history_choices(kind)],
        "told": told,
        "past": {one.what for one in told.past},
    }
    it_was = shown(kind, found, known, standing, form or empty_form(kind, standing))
    return {
        "case": case,
        "asking": asking,
        "found": found,
        "it_was": it_was,
        "carried": list(_carried(typed)),
    }


def _carried(typed: QueryDict) -> Iterator[tuple[str, str]]:
    """What was told, as the fields of a form that is sent from the same page."""
    for name, values in typed.lists():
        if name in TOLD_BY or name.startswith("days_"):
            yield from ((name, value) for value in values if value)


def _told(typed: QueryDict, kind: str) -> Told:
    """What the page was told; a word that the table does not know counts for nothing."""
    table = table_of(kind)
    heard = set(table.symptoms) & set(typed.getlist("symptom"))
    denied = (set(table.symptoms) & set(typed.getlist("silent"))) - heard
    ticked = set(typed.getlist("past"))
    words = sorted(word for word in history_choices(kind) if word.key in ticked)
    past = tuple(Past(word.what, _days(typed, word.key)) for word in words)
    causes = {one.key for one in table.causes}
    so, not_so = (causes & set(typed.getlist(name)) for name in ("is_so", "not_so"))
    # Both ticked is no answer.
    looked = {key: key in so for key in sorted(so ^ not_so)}
    return Told(frozenset(heard), frozenset(denied), past, looked, _undone(typed, table, heard))


def _undone(typed: QueryDict, table: Table, heard: set[str]) -> dict[str, dict[str, bool]]:
    """Of each cause put out of the way, whether each symptom that was heard stays or is gone."""
    gone, stays = set(typed.getlist("gone")), set(typed.getlist("stays"))
    found: dict[str, dict[str, bool]] = {}
    for one in table.causes if gone or stays else ():
        for symptom in sorted(heard & set(one.symptoms)) if one.undo_minutes else ():
            name = f"{one.key}:{symptom}"
            if (name in gone) != (name in stays):
                found.setdefault(one.key, {})[symptom] = name in stays
    return found


def _days(typed: QueryDict, word: str) -> float | None:
    """Days since it happened; None where nobody wrote a number that can be."""
    try:
        days = read_decimal(typed.get(f"days_{word}", ""))
    except ValidationError:
        return None
    return None if days is None or not 0 <= days <= MOST_DAYS else float(days)
