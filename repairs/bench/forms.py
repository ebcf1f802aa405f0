from __future__ import annotations

from typing import Any

from django import forms
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext_lazy as _

from repairs.bench.counter import SMALL_JOB, SmallJob
from repairs.cases.models import Case
from repairs.instruments.hazards import fill_standing, label_words
from repairs.instruments.kinds import kinds
from repairs.instruments.models import Instrument
from repairs.invoices.taxing import tax_of
from repairs.language.text import decimal_words
from repairs.money import amount_words, prices_beside, rounded
from repairs.people.house_models import House
from repairs.people.models import Client
from repairs.procedures.versions import procedures
from repairs.screens.fields import QuantityField
from repairs.treatment.forms import minutes_field

NEW = "new"
LONG = {"rows": 2, "dir": "auto"}


def plain_procedures() -> list[tuple[str, str]]:
    """Those that ask for no reading and can be undone: fit for the counter; small job first."""
    fit = [one for one in procedures() if not one.readings and one.group == "free"]
    fit.sort(key=lambda one: one.key != SMALL_JOB)
    return [(one.key, str(one)) for one in fit]


class SmallJobForm(forms.Form):
    """Owner, instrument, work, minutes, price and how it was agreed, on one screen.

    When somebody of that name is known, or has instruments of that kind here, they are offered
    and one is chosen before anything is written.
    """

    owner_name = forms.CharField(label=_("owner"), max_length=160)
    owner_phone = forms.CharField(label=_("telephone"), max_length=40, required=False)
    kind = forms.ChoiceField(label=_("instrument"))
    maker = forms.CharField(label=_("maker"), max_length=160, required=False)
    asked = forms.CharField(
        label=_("what is asked for"), max_length=600, widget=forms.Textarea(attrs=LONG)
    )
    procedure = forms.ChoiceField(label=_("procedure"))
    done = forms.CharField(
        label=_("what was done"), max_length=2000, required=False, widget=forms.Textarea(attrs=LONG)
    )
    minutes = minutes_field()
    price = QuantityField(
        label=_("price agreed, tax included"),
        unit="",
        least="0",
        most="99999",
        required=True,
        help_text=_("What the owner pays in all; an invoice comes to this sum. 0 is a favour."),
    )
    agreed_words = forms.CharField(
        label=_("how it was agreed"),
        max_length=300,
        help_text=_("Such as “by word of mouth at the counter, 20 EUR”."),
    )
    is_handed_back = forms.BooleanField(
        label=_("the owner takes it along now"), required=False, initial=True
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].choices = [(key, str(kind)) for key, kind in kinds().items()]  # type: ignore[attr-defined]
        self.fields["procedure"].choices = plain_procedures()  # type: ignore[attr-defined]
        self.fields["price"].widget.attrs["data-unit"] = House.present().currency
        self._offer_known()

    def _offer_known(self) -> None:
        """Ask which of the known it is, once a name that is known was typed."""
        name = str(self.data.get("owner_name", ""))
        self.known = (
            list(
                Client.objects.like(
                    name=name, email="", phone=str(self.data.get("owner_phone", ""))
                ).exclude(kind=Client.Kind.HOUSE)[:5]
            )
            if name.strip()
            else []
        )
        if not self.known:
            return
        self.fields["client"] = forms.ChoiceField(
            label=_("is it one of these?"),
            choices=[
                *[(str(one.pk), f"{one.name} {one.phone}") for one in self.known],
                (NEW, _("no, somebody else")),
            ],
            widget=forms.RadioSelect,
        )
        self._offer_instruments()

    def _offer_instruments(self) -> None:
        """Ask whether it is one that the chosen owner brought before."""
        chosen = str(self.data.get("client", ""))
        theirs = Instrument.objects.filter(owner__in=self.known, kind=self.data.get("kind", ""))
        rows = [row for row in theirs if str(row.owner_id) == chosen]
        fill_standing(rows, [row.pk for row in rows])
        if rows:
            self.fields["instrument"] = forms.ChoiceField(
                label=_("is it an instrument that was here before?"),
                choices=[
                    *[(row.number, " · ".join(_told(row))) for row in rows],
                    (NEW, _("no, another one")),
                ],
                widget=forms.RadioSelect,
            )
            self._ask_about_open_stay()

    def _ask_about_open_stay(self) -> None:
        """The instrument is said to be here already: a job beside that stay wants a word."""
        number = str(self.data.get("instrument", ""))
        stay = Case.objects.open().filter(instrument__number=number).order_by("-pk").first()
        if stay is None:
            return
        self.open_stay = stay
        said = _(
            "%(instrument)s is here already: its stay %(case)s of %(day)s has not ended. Work on "
            "it belongs into that stay. If this is a job besides, tick the box and send again."
        ) % {
            "instrument": number,
            "case": stay.number,
            "day": date_format(localtime(stay.received_at), "DATE_FORMAT"),
        }
        self.fields["beside"] = forms.BooleanField(
            label=_("go on anyway, as a stay of its own"), error_messages={"required": said}
        )

    def clean(self) -> dict[str, Any]:
        """Refuse a price that the estimate's rules would refuse, before anything is written."""
        said: dict[str, Any] = super().clean() or {}
        if said.get("price") is not None and "owner_name" in said and "client" not in self.errors:
            self._check_price(said)
        return said

    def _check_price(self, said: dict[str, Any]) -> None:
        """An invoice adds tax to a sum in whole cents: not every price with tax can be met."""
        price = said["price"]
        rate_pct = tax_of(House.present(), self._client(said)).rate_pct
        if beside := prices_beside(price, rate_pct):
            words = _(
                "At %(rate)s %% tax no invoice comes to %(price)s: %(below)s or %(above)s do. "
                "Agree on one of them."
            )
            figures = {"rate": decimal_words(rate_pct), "price": amount_words(price)}
            names = zip(("below", "above"), map(amount_words, beside), strict=True)
            self.add_error("price", words % {**figures, **dict(names)})

    def job(self) -> SmallJob:
        """What was typed as a job to be done in one go. Call it after ``is_valid``."""
        said = self.cleaned_data
        return SmallJob(
            client=self._client(said),
            instrument=self._instrument(said),
            asked=said["asked"],
            done=said["done"],
            procedure=said["procedure"],
            minutes=said["minutes"],
            price=rounded(said["price"]),
            agreed_words=said["agreed_words"],
            is_handed_back=said["is_handed_back"],
        )

    def _client(self, said: dict[str, Any]) -> Client:
        chosen = said.get("client", NEW)
        if chosen != NEW:
            return next(one for one in self.known if str(one.pk) == chosen)
        return Client(name=said["owner_name"], phone=said["owner_phone"])

    def _instrument(self, said: dict[str, Any]) -> Instrument:
        chosen = said.get("instrument", NEW)
        if chosen != NEW:
            return Instrument.objects.get(number=chosen)
        return Instrument(kind=said["kind"], maker=said["maker"])


def _told(row: Instrument) -> tuple[str, ...]:
    """Its number and name, and before it is touched what stands against it."""
    hazards = row.standing_hazards
    signs = (f"⚠\ufe0e {words}" for words in label_words(hazards, most=len(hazards)))
    return (row.number, str(row), *signs)
