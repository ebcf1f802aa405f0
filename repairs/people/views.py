from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.people import actions, door
from repairs.people.access import SignedInRequest, needs
from repairs.people.forms import ClientForm, ConsentForm, UserForm
from repairs.people.guessing import visitor_of
from repairs.people.house_forms import HouseBillingForm, HouseForm
from repairs.people.house_models import House
from repairs.people.models import Client, User
from repairs.people.sole_trader import sole_trader_remark

LONGEST_ADDRESS = 2000


class SignInView(LoginView):
    """The door. Tries are counted (``people.guessing``), so that passwords cannot be guessed."""

    template_name = "people/sign_in.html"
    redirect_authenticated_user = True

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Let in, or refuse before the password is even looked at."""
        visitor = visitor_of(request)
        wait_s, refusal = visitor.wait()
        if wait_s:
            return self._braked(wait_s, refusal)
        answer = super().post(request, *args, **kwargs)
        if request.user.is_authenticated:
            visitor.was_let_in(answer)
        return answer

    def _braked(self, wait_s: int, refusal: str) -> HttpResponse:
        """The same page with the name that was typed; nothing was looked up."""
        typed = self.request.POST.get("username", "")[:150]
        form = self.get_form_class()(self.request, initial={"username": typed})
        facts = self.get_context_data(form=form, refusal=refusal)
        answer = render(self.request, self.template_name, facts, status=429)
        answer["Retry-After"] = str(wait_s)
        return answer

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        """Let them in, and say so in the log."""
        answer = super().form_valid(form)
        door.note_signed_in(form.get_user(), at=timezone.now())
        return answer

    def form_invalid(self, form: AuthenticationForm) -> HttpResponse:
        """Refuse, and say so in the log, once a name and a password were tried."""
        if form.data.get("username") and form.data.get("password"):
            door.note_refused(str(form.data["username"]), at=timezone.now())
        return super().form_invalid(form)


class SignOutView(LogoutView):
    """The way out."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Say in the log who went, while it is still known."""
        if request.user.is_authenticated:
            door.note_signed_out(request.user, at=timezone.now())
        return super().post(request, *args, **kwargs)


@require_POST
def choose_language(request: HttpRequest) -> HttpResponse:
    """Remember the language in the profile of a person, or in a cookie of a visitor."""
    wanted = request.POST.get("language", "")
    code = wanted if wanted in dict(settings.LANGUAGES) else settings.LANGUAGE_CODE
    # Not redirect(): it takes a word without a stroke for the name of a view.
    answer = HttpResponseRedirect(_safe_next(request))
    answer.set_cookie(settings.LANGUAGE_COOKIE_NAME, code, max_age=31_536_000, samesite="Lax")
    if request.user.is_authenticated:
        User.objects.filter(pk=request.user.pk).update(language=code)
    return answer


def _safe_next(request: HttpRequest) -> str:
    """The page that they come from, when it is an address of this house; else the bench."""
    wanted = request.POST.get("next", "")
    if not wanted.startswith(("/", "http")) or len(wanted) > LONGEST_ADDRESS:
        return reverse("bench:home")
    if url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure()):
        return wanted
    return reverse("bench:home")


@needs("view")
def client_list(request: SignedInRequest) -> HttpResponse:
    """The first hundred clients that match; the house itself is none."""
    words = request.GET.get("q", "").strip()
    clients = Client.objects.matching(words).exclude(kind=Client.Kind.HOUSE)[:100]
    return render(request, "people/client_list.html", {"clients": clients, "words": words})


@needs("people")
def client_add(request: SignedInRequest) -> HttpResponse:
    """Enter an owner; the name may come along from a search that found nobody."""
    form = ClientForm(request.POST or None, initial={"name": request.GET.get("name", "")})
    if request.method == "POST" and form.is_valid():
        client = actions.enter_client(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("%(name)s is entered.") % {"name": client.name})
        return redirect("people:client", client.pk)
    return render(request, "people/client_form.html", {"form": form})


@needs("people")
def client_edit(request: SignedInRequest, pk: int) -> HttpResponse:
    """Put a client's data right; papers already issued keep what they said."""
    client = get_object_or_404(Client, pk=pk)
    form = ClientForm(request.POST or None, instance=client)
    door.note_looked_at(client, by=request.user, at=timezone.now())
    if request.method == "POST" and form.is_valid():
        actions.change_client(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("Saved."))
        return redirect("people:client", client.pk)
    return render(request, "people/client_form.html", {"form": form, "client": client})


@needs("view")
def client_detail(request: SignedInRequest, pk: int) -> HttpResponse:
    """One client with instruments, stays and what they allowed."""
    client = get_object_or_404(Client, pk=pk)
    door.note_looked_at(client, by=request.user, at=timezone.now())
    facts = {
        "client": client,
        "consents": client.data_consents.all(),
        "consent_form": ConsentForm(),
        "instruments": client.instruments.all().with_hazards(),
        "cases": client.cases.all().with_hazards(most=50),
    }
    return render(request, "people/client_detail.html", facts)


@needs("people")
@require_POST
def consent_add(request: SignedInRequest, pk: int) -> HttpResponse:
    """Note that a client allows something with data or photos."""
    client = get_object_or_404(Client, pk=pk)
    form = ConsentForm(request.POST)
    if form.is_valid():
        chosen = form.cleaned_data
        actions.give_data_consent(
            client, chosen["purpose"], chosen["how"], by=request.user, at=timezone.now()
        )
    return redirect("people:client", pk)


@needs("people")
@require_POST
def consent_withdraw(request: SignedInRequest, pk: int, consent: int) -> HttpResponse:
    """Note that a client takes it back; when it was given stays on record."""
    client = get_object_or_404(Client, pk=pk)
    row = get_object_or_404(client.data_consents, pk=consent, withdrawn_at=None)
    actions.withdraw_data_consent(row, by=request.user, at=timezone.now())
    return redirect("people:client", pk)


@needs("take_in")
@require_POST
def house_as_owner(request: SignedInRequest) -> HttpResponse:
    """An instrument that the house makes or sells belongs to the workshop until it is sold."""
    owner = actions.house_as_client(by=request.user, at=timezone.now())
    return redirect("instruments:add", owner.pk)


@needs("house")
def house_edit(request: SignedInRequest) -> HttpResponse:
    """The settings of the house. For the principal."""
    form = HouseForm(request.POST or None, instance=House.objects.first())
    if request.method == "POST" and form.is_valid():
        actions.change_house(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("Saved. Papers issued from now on bear this."))
        return redirect("people:house")
    people = User.objects.all()
    facts = {"form": form, "people": people, "own_authority": bool(settings.AUTHORITY_FILE)}
    return render(request, "people/house.html", facts)


@needs("house")
def house_billing(request: SignedInRequest) -> HttpResponse:
    """What invoices say of the workshop; those already issued keep what they said."""
    form = HouseBillingForm(request.POST or None, instance=House.objects.first())
    if request.method == "POST" and form.is_valid():
        actions.change_house(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(request, _("Saved. Invoices issued from now on bear this."))
        return redirect("people:house_billing")
    house = House.present()
    remark = sole_trader_remark(legal_name=house.legal_name, legal_form=house.legal_form)
    return render(request, "people/house_billing.html", {"form": form, "remark": remark})


@needs("house")
def user_form(request: SignedInRequest, pk: int | None = None) -> HttpResponse:
    """Enter somebody who works here, or change role and password. For the principal."""
    person = get_object_or_404(User, pk=pk) if pk else User()
    form = UserForm(request.POST or None, instance=person)
    if request.method == "POST" and form.is_valid():
        saved = actions.save_user(
            form.save(commit=False),
            by=request.user,
            at=timezone.now(),
            password=form.cleaned_data["password"],
        )
        if saved.pk == request.user.pk:
            update_session_auth_hash(request, saved)
        words = _("%(name)s can sign in.") if saved.is_active else _("%(name)s cannot sign in.")
        messages.success(request, words % {"name": saved})
        return redirect("people:house")
    return render(request, "people/user_form.html", {"form": form, "person": person})
