from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.forms import ModelForm
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.models import Case
from repairs.gauges.base.errors import GaugeInputError
from repairs.instruments.models import Instrument
from repairs.instruments.protection import needs_of
from repairs.language.refusal import WorkshopError
from repairs.people.access import SignedInRequest, needs
from repairs.people.models import User
from repairs.wood import actions
from repairs.wood.forms import OffcutForm, PieceForm, SeekForm, TakeForm, WoodTestForm
from repairs.wood.models import Piece, Withdrawal
from repairs.wood.show import lines, mass_left, shown_tests, went
from repairs.wood.tested_models import WoodTest

MOST = 200  # lines of the list


@needs("view")
def piece_list(request: SignedInRequest) -> HttpResponse:
    """Seek in the wood store."""
    form = SeekForm(request.GET)
    found = list(form.found().prefetch_related("tests")[: MOST + 1])
    facts = {"form": form, "lines": lines(found[:MOST]), "most": MOST if found[MOST:] else 0}
    return render(request, "wood/list.html", facts)


@needs("record")
def piece_add(request: SignedInRequest) -> HttpResponse:
    """Enter a piece; it gets its number for good."""
    form = PieceForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        piece = actions.enter_piece(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("Piece %(number)s is entered.") % {"number": piece.number})
        return redirect(piece)
    return render(request, "wood/form.html", {"form": form})


@needs("view")
def piece_detail(request: SignedInRequest, number: str) -> HttpResponse:
    """One piece: where parts of it went, what was measured, what its species needs."""
    piece = _piece(number)
    tests = shown_tests(piece)
    facts = {
        "piece": piece,
        "needs": needs_of(piece.material),
        "tests": tests,
        "mass_left_g": mass_left(piece, tests),
        "went": went(piece),
        "offcuts": piece.offcuts.with_left(),
    }
    return render(request, "wood/detail.html", facts)


@needs("record")
def piece_edit(request: SignedInRequest, number: str) -> HttpResponse:
    """Put right what is known of a piece."""
    piece = _piece(number)
    form = PieceForm(request.POST or None, instance=piece)
    if request.method == "POST" and form.is_valid():
        row = form.save(commit=False)
        if _done(form, lambda: actions.change_piece(row, by=request.user, at=timezone.now())):
            messages.success(request, _("Saved."))
            return redirect(piece)
    return render(request, "wood/form.html", {"form": form, "piece": piece})


@needs("record")
def piece_test(request: SignedInRequest, number: str) -> HttpResponse:
    """Weigh, measure and tap a block of it: density, stiffness, notes."""
    piece = _piece(number)
    initial = {"taken_on": timezone.localdate()} | _sizes(piece)
    form = WoodTestForm(request.POST or None, instance=WoodTest(piece=piece), initial=initial)
    if request.method == "POST" and form.is_valid():
        row = form.save(commit=False)
        if _done(form, lambda: actions.test_piece(row, by=request.user, at=timezone.now())):
            messages.success(request, _("The test is kept."))
            return redirect(f"{piece.get_absolute_url()}#tests")
    return render(request, "wood/test.html", {"form": form, "piece": piece})


@needs("record")
def piece_take(request: SignedInRequest, number: str) -> HttpResponse:
    """Take wood off it, for a case or for something else; never more than is left."""
    piece = _piece(number)
    initial = {"case_number": request.GET.get("case", "")}
    form = TakeForm(request.POST or None, instance=Withdrawal(piece=piece), initial=initial)
    if request.method == "POST" and form.is_valid():
        row = form.save(commit=False)
        if _done(form, lambda: actions.withdraw(row, by=request.user, at=timezone.now())):
            said = {"volume": row.volume_words, "number": piece.number}
            messages.success(request, _("%(volume)s are taken off piece %(number)s.") % said)
            _warn(request, form)
            return redirect(f"{piece.get_absolute_url()}#went")
    # By this name the frame of every page says the instrument's hazards before anything else.
    facts = {"form": form, "piece": piece, "instrument": _instrument_for(request.user, form)}
    return render(request, "wood/take.html", facts)


def _instrument_for(user: User, form: TakeForm) -> Instrument | None:
    """The one that the wood is for, by the number of the case as far as it is typed."""
    number = str(form["case_number"].value() or "").replace("\0", "").strip()
    cases = Case.objects.visible_to(user).select_related("instrument")
    case = cases.filter(number=number).first()
    return case.instrument if case is not None else None


def _warn(request: SignedInRequest, form: TakeForm) -> None:
    """Who typed the number and took the wood at once has seen no page of the instrument yet."""
    instrument = _instrument_for(request.user, form)
    for hazard in instrument.standing_hazards if instrument is not None else ():
        messages.warning(request, f"⚠\ufe0e {hazard.short} ({hazard.label})")


@needs("record")
@require_POST
def piece_put_back(request: SignedInRequest, number: str, withdrawal: int) -> HttpResponse:
    """Put taken wood back."""
    piece = _piece(number)
    row = get_object_or_404(piece.withdrawals, number=withdrawal)
    try:
        actions.put_back(row, by=request.user, at=timezone.now())
    except WorkshopError as refusal:
        messages.error(request, str(refusal))
    else:
        messages.success(request, _("%(volume)s are put back.") % {"volume": row.volume_words})
    return redirect(f"{piece.get_absolute_url()}#went")


@needs("record")
def piece_offcut(request: SignedInRequest, number: str) -> HttpResponse:
    """Enter an offcut as a piece of its own, which keeps whose child it is."""
    piece = _piece(number)
    blank = Piece(parent=piece, cut=piece.cut, place=piece.place)
    form = OffcutForm(request.POST or None, instance=blank, initial=_sizes(piece))
    if request.method == "POST" and form.is_valid():
        row = form.save(commit=False)
        if _done(form, lambda: actions.make_offcut(row, by=request.user, at=timezone.now())):
            said = {"number": piece.number, "offcut": row.number}
            messages.success(
                request, _("Offcut %(offcut)s is entered and piece %(number)s is closed.") % said
            )
            return redirect(row)
    return render(request, "wood/offcut.html", {"form": form, "piece": piece})


@needs("record")
@require_POST
def piece_used_up(request: SignedInRequest, number: str) -> HttpResponse:
    """Say that nothing useful is left, or that there is after all."""
    piece = _piece(number)
    used_up = request.POST.get("used_up") != "no"
    actions.set_used_up(piece, used_up, by=request.user, at=timezone.now())
    said = _("Piece %(number)s is closed.") if used_up else _("Piece %(number)s is open again.")
    messages.success(request, said % {"number": piece.number})
    return redirect(piece)


def _piece(number: str) -> Piece:
    return get_object_or_404(Piece.objects.with_left().select_related("parent"), number=number)


def _sizes(piece: Piece) -> dict[str, object]:
    names = ("length_mm", "width_mm", "thickness_mm")
    return dict(zip(names, piece.sizes_mm, strict=True))


def _done(form: ModelForm, act: Callable[[], object]) -> bool:
    """Do it; what is refused stands in the form, and nothing was saved."""
    try:
        act()
    except GaugeInputError as refusal:
        form.refuse(refusal)  # type: ignore[attr-defined]
    except WorkshopError as refusal:
        form.add_error(None, str(refusal))
    else:
        return True
    return False
