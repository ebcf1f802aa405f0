"""The page of causes: symptoms to tick, causes in the order of suspicion, what would decide."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from repairs.cases.access import case_for
from repairs.causes.diagnosis import diagnose, symptom_choices
from repairs.causes.ranking import deciding_reading
from repairs.people.access import SignedInRequest, needs


@needs("view")
def diagnosis(request: SignedInRequest, number: str) -> HttpResponse:
    """Causes to check in order, from a symptom and from what the readings say."""
    case = case_for(request.user, number, to="view")
    chosen = [key for key in request.GET.getlist("symptom") if key]
    causes = diagnose(case, chosen)
    facts = {
        "case": case,
        "symptoms": symptom_choices(case.instrument.kind),
        "chosen": chosen,
        "causes": causes,
        "deciding": deciding_reading(causes),
    }
    return render(request, "causes/diagnosis.html", facts)
