from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.instruments import hazard_actions
from repairs.instruments.hazard_actions import Known
from repairs.instruments.hazard_forms import HazardForm, LiftForm
from repairs.instruments.hazards import Standing
from repairs.instruments.models import Instrument
from repairs.people.access import SignedInRequest, needs
from repairs.screens.beside import took


@needs("record")
def hazards(request: SignedInRequest, number: str) -> HttpResponse:
    """All that is known of the dangers of one instrument; to note one, and to lift one."""
    instrument = get_object_or_404(Instrument, number=number)
    form = HazardForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        known = Known(evidence=said["evidence"], note=said["note"])
        hazard_actions.note_hazard(
            instrument, said["key"], known, by=request.user, at=timezone.now()
        )
        took(request, request.path, *form.fields)
        messages.success(request, _("It is noted, and stands until somebody lifts it."))
        return redirect("instruments:hazards", instrument.number)
    return render(request, "instruments/hazards.html", _facts(instrument, form))


def _facts(
    instrument: Instrument, form: HazardForm, wrong: tuple[str, LiftForm] | None = None
) -> dict[str, Any]:
    """What the page shows; ``wrong`` is a form of lifting that was refused, with its hazard."""
    lifts: list[tuple[Standing, LiftForm]] = []
    for one in instrument.standing_hazards:
        is_wrong = wrong is not None and wrong[0] == one.key
        lifts.append((one, wrong[1] if wrong and is_wrong else LiftForm(prefix=one.key)))
    return {"instrument": instrument, "form": form, "lifts": lifts}


@needs("examine")
@require_POST
def hazard_lift(request: SignedInRequest, number: str, hazard: str) -> HttpResponse:
    """Lift a hazard, with the reason and what shows that it is gone."""
    instrument = get_object_or_404(Instrument, number=number)
    form = LiftForm(request.POST, prefix=hazard)
    if not form.is_valid():
        facts = _facts(instrument, HazardForm(), (hazard, form))
        return render(request, "instruments/hazards.html", facts, status=422)
    hazard_actions.lift_hazard(
        instrument,
        hazard,
        because=form.cleaned_data["because"],
        by=request.user,
        at=timezone.now(),
    )
    took(request, reverse("instruments:hazards", args=[instrument.number]), f"{hazard}-")
    messages.success(request, _("It is lifted. Who did it and why stays on record."))
    return redirect("instruments:hazards", instrument.number)
