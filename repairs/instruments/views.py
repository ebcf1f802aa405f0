"""Pages of the register: list, instrument, its parts."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.instruments import actions
from repairs.instruments.entries import GROUPS
from repairs.instruments.forms import InstrumentForm
from repairs.instruments.hazards import fill_standing
from repairs.instruments.kinds import kind_of, kinds
from repairs.instruments.models import Instrument
from repairs.instruments.part_forms import NewPartForm, PartFormSet
from repairs.people.access import SignedInRequest, may, needs
from repairs.people.house_models import House
from repairs.people.models import Client
from repairs.screens.beside import took
from repairs.screens.entries import facts as facts_shown

ON_A_PAGE = 50
ASKED_AT_ONCE = 2  # groups of a new instrument that stand open: what it is, and who made it


@needs("view")
def instrument_list(request: SignedInRequest) -> HttpResponse:
    """The register, by words, a page at a time. Every role."""
    words = request.GET.get("q", "").strip()
    found = Instrument.objects.matching(words).select_related("owner")
    page = Paginator(found, ON_A_PAGE).get_page(request.GET.get("page"))
    fill_standing(page, [one.pk for one in page])
    return render(request, "instruments/list.html", {"page": page, "words": words})


@needs("view")
def instrument_detail(request: SignedInRequest, number: str) -> HttpResponse:
    """One instrument with its parts, sizes, hazards and stays. Every role."""
    instrument = get_object_or_404(Instrument.objects.select_related("owner"), number=number)
    parts = list(instrument.parts.all())
    for part in parts:
        part.instrument = instrument  # spares a query a part for the kind's labels
    told = facts_shown(instrument, GROUPS, "page", prices=may(request.user, "see_prices"))
    facts = {
        "instrument": instrument,
        "facts": [row for row in told if row[2]],
        "parts": parts,
        "protected": [part for part in parts if part.protection],
        "sizes": instrument.dimensions.select_related("instrument"),
        "cases": instrument.cases.all(),
        "has_wheel": instrument.pattern.sheet("wheel") is not None,
    }
    return render(request, "instruments/detail.html", facts)


@needs("take_in")
def instrument_add(request: SignedInRequest, owner: int) -> HttpResponse:
    """Enter an owner's instrument; choosing another kind asks for other sizes and parts."""
    client = get_object_or_404(Client, pk=owner)
    blank = Instrument(owner=client, currency=House.present().currency)
    kind = request.POST.get("kind") or request.GET.get("kind") or next(iter(kinds()))
    if request.POST.get("kind_shown", kind) != kind:
        # Another kind was chosen meanwhile: nothing is entered before its own sizes were asked for.
        form = InstrumentForm(instance=blank, initial=request.POST.dict())
        messages.info(request, _("Its kind decides which sizes are asked for below."))
    else:
        form = InstrumentForm(request.POST or None, instance=blank, initial={"kind": kind})
    if form.is_bound and form.is_valid():
        instrument = actions.enter_instrument(
            form.save(commit=False), form.dimensions, by=request.user, at=timezone.now()
        )
        messages.success(
            request, _("Instrument %(number)s is entered.") % {"number": instrument.number}
        )
        return redirect("cases:take_in", instrument.number)
    facts = {"form": form, "client": client, "kind": kind_of(kind), "opened": ASKED_AT_ONCE}
    return render(request, "instruments/form.html", facts)


@needs("take_in")
def instrument_edit(request: SignedInRequest, number: str) -> HttpResponse:
    """Put right what is known of the instrument itself."""
    instrument = get_object_or_404(Instrument, number=number)
    form = InstrumentForm(request.POST or None, instance=instrument)
    if request.method == "POST" and form.is_valid():
        actions.change_instrument(
            form.save(commit=False), form.dimensions, by=request.user, at=timezone.now()
        )
        messages.success(request, _("Saved."))
        return redirect(instrument)
    facts = {"form": form, "instrument": instrument, "client": instrument.owner}
    return render(request, "instruments/form.html", facts)


@needs("record")
def instrument_parts(request: SignedInRequest, number: str) -> HttpResponse:
    """The parts tree as one table: material, how identified, originality."""
    instrument = get_object_or_404(Instrument, number=number)
    rows = instrument.parts.select_related("instrument")
    formset = PartFormSet(request.POST or None, queryset=rows)
    if request.method == "POST" and formset.is_valid():
        actions.describe_parts(
            instrument, formset.save(commit=False), by=request.user, at=timezone.now()
        )
        took(request, request.path, f"{formset.prefix}-")
        messages.success(request, _("Saved."))
        return redirect(instrument)
    facts = {
        "instrument": instrument,
        "formset": formset,
        "new_part": NewPartForm(instrument=instrument),
    }
    return render(request, "instruments/parts.html", facts)


@needs("record")
@require_POST
def part_add(request: SignedInRequest, number: str) -> HttpResponse:
    """Add a part that the kind does not foresee."""
    instrument = get_object_or_404(Instrument, number=number)
    form = NewPartForm(request.POST, instrument=instrument)
    if form.is_valid():
        chosen = form.cleaned_data
        actions.add_part(
            instrument, chosen["label"], chosen["parent"], by=request.user, at=timezone.now()
        )
        took(request, reverse("instruments:parts", args=[number]), *form.fields)
    else:
        messages.error(request, _("Give the part a name of at most 80 characters."))
    return redirect("instruments:parts", number)


@needs("record")
@require_POST
def usual_materials(request: SignedInRequest, number: str) -> HttpResponse:
    """Take over the usual materials of the kind, marked as not examined."""
    instrument = get_object_or_404(Instrument, number=number)
    note = _("as usual for the kind, not examined")
    count = actions.take_usual_materials(instrument, note, by=request.user, at=timezone.now())
    messages.success(
        request, _("%(count)s parts took the material that is usual for them.") % {"count": count}
    )
    return redirect("instruments:parts", number)
