"""Owner and instrument entered at the counter, on one screen; the known of the two comes along."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from repairs.audit.actions import deed
from repairs.instruments.actions import enter_instrument
from repairs.instruments.forms import CounterInstrumentForm
from repairs.instruments.models import Instrument
from repairs.people.access import SignedInRequest, needs
from repairs.people.actions import enter_client
from repairs.people.forms import CounterClientForm
from repairs.people.house_models import House
from repairs.people.models import Client, User


@deed()
def enter_both(owner: Client, instrument: Instrument, *, by: User, at: dt.datetime) -> Instrument:
    """Enter the instrument, and its owner where nobody knew them; both or neither."""
    if owner._state.adding:
        enter_client(owner, by=by, at=at)
    instrument.owner = owner
    return enter_instrument(instrument, {}, by=by, at=at)


@needs("take_in")
def newcomer(request: SignedInRequest) -> HttpResponse:
    """What the receipt needs of an owner and an instrument that were never here."""
    house = House.present()
    owner = _known_owner(request) or Client(
        country=house.country, language=request.LANGUAGE_CODE[:2]
    )
    form, client_form = _forms(request, owner, house.currency)
    if request.method == "POST" and _are_valid(form, client_form):
        if client_form is not None:
            owner = client_form.save(commit=False)
        instrument = enter_both(owner, form.save(commit=False), by=request.user, at=timezone.now())
        return redirect("cases:take_in", instrument.number)
    facts = {
        "form": form,
        "client_form": client_form,
        "owner": owner,
        "theirs": owner.instruments.all().with_hazards() if owner.pk else [],
    }
    return render(request, "cases/newcomer.html", facts)


def _known_owner(request: SignedInRequest) -> Client | None:
    key = request.GET.get("owner", "")
    return get_object_or_404(Client, pk=key) if key.isdecimal() and len(key) < 19 else None


def _forms(
    request: SignedInRequest, owner: Client, currency: str
) -> tuple[CounterInstrumentForm, CounterClientForm | None]:
    """The form of the instrument, and that of the owner unless they are known."""
    sent: Any = request.POST or None
    blank = Instrument(currency=currency)
    if not owner._state.adding:
        blank.owner = owner
        return CounterInstrumentForm(sent, instance=blank), None
    name = {"name": request.GET.get("name", "")}
    return (
        CounterInstrumentForm(sent, instance=blank),
        CounterClientForm(sent, instance=owner, initial=name),
    )


def _are_valid(form: CounterInstrumentForm, client_form: CounterClientForm | None) -> bool:
    """Both are judged, so that every problem is shown at once."""
    owner_is_valid = client_form is None or client_form.is_valid()
    return form.is_valid() and owner_is_valid
