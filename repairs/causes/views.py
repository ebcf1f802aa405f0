"""The page of causes: what is told, causes in the order of probability, what to look at next."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.http import HttpResponse, QueryDict
from django.shortcuts import render

from repairs.cases.access import case_for
from repairs.causes.diagnosis import Told, diagnose
from repairs.causes.tables import history_choices, symptom_choices, table_of
from repairs.gauges.causes.net import Past
from repairs.people.access import SignedInRequest, needs
from repairs.screens.fields import read_decimal

MOST_DAYS = 40_000


@needs("view")
def diagnosis(request: SignedInRequest, number: str) -> HttpResponse:
    """Causes in order, from what is told, read and found."""
    case = case_for(request.user, number, to="view")
    kind = case.instrument.kind
    told = _told(request.GET, kind)
    asking = {
        "symptoms": symptom_choices(kind),
        "history": [(word, _days(request.GET, word.key)) for word in history_choices(kind)],
        "told": told,
        "past": {one.what for one in told.past},
    }
    facts = {"case": case, "asking": asking, "found": diagnose(case, told)}
    return render(request, "causes/diagnosis.html", facts)


def _told(typed: QueryDict, kind: str) -> Told:
    """What the page was told; a word that the table does not know counts for nothing."""
    known = set(table_of(kind).symptoms)
    heard = known & set(typed.getlist("symptom"))
    denied = (known & set(typed.getlist("silent"))) - heard
    ticked = set(typed.getlist("past"))
    words = sorted(word for word in history_choices(kind) if word.key in ticked)
    past = tuple(Past(word.what, _days(typed, word.key)) for word in words)
    return Told(frozenset(heard), frozenset(denied), past)


def _days(typed: QueryDict, word: str) -> float | None:
    """Days since it happened; None where nobody wrote a number that can be."""
    try:
        days = read_decimal(typed.get(f"days_{word}", ""))
    except ValidationError:
        return None
    return None if days is None or not 0 <= days <= MOST_DAYS else float(days)
