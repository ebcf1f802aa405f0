"""The page of a wheel's ledger."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render

from repairs.instruments.models import Instrument
from repairs.people.access import SignedInRequest, needs
from repairs.treatment.wheel_ledger import ledger_of


@needs("view")
def wheel_ledger(request: SignedInRequest, number: str) -> HttpResponse:
    """What the wheel lost with each cut, and how many cuts are left. Every role."""
    instrument = get_object_or_404(Instrument.objects.select_related("owner"), number=number)
    if instrument.pattern.sheet("wheel") is None:
        raise Http404
    facts = {"instrument": instrument, "ledger": ledger_of(instrument, request.user)}
    return render(request, "treatment/wheel_ledger.html", facts)
