"""Forms of the house's settings: its name and terms, and what its invoices say."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repairs.law.rates import rate_fault
from repairs.people.forms import CountryField, check_numbers
from repairs.people.house_models import House
from repairs.screens.fields import DayInput, QuantityField

MOST_DAYS_TO_PAY = 365


class HouseForm(forms.ModelForm):
    """How the house introduces itself, what its hour costs, and its terms."""

    hourly_rate = QuantityField(
        label=_("usual hourly rate, before tax"), unit="", least="0", most="9999", required=True
    )
    spoken_consent_most = QuantityField(
        label=_("most that may be agreed by word of mouth or message"),
        unit="",
        least="0",
        most="999999",
        required=True,
        help_text=_("Above it a signature or the owner’s link is needed."),
    )

    class Meta:
        model = House
        fields = [
            "name",
            "trade",
            "address",
            "email",
            "phone",
            "registration",
            "currency",
            "hourly_rate",
            "spoken_consent_most",
            "terms",
        ]
        widgets = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "terms": forms.Textarea(attrs={"rows": 8}),
        }


class HouseBillingForm(forms.ModelForm):
    """What the law and the books want of the workshop on its invoices."""

    country = CountryField()
    default_rate_pct = QuantityField(
        label=_("usual VAT rate"), unit="%", least="0", most="30", required=True
    )
    penalty_rate_pct = QuantityField(
        label=_("late-payment rate a year"),
        unit="%",
        least="0",
        most="60",
        help_text=_("Empty: three times the legal rate of interest, as the paper then says."),
    )

    class Meta:
        model = House
        fields = [
            "legal_name",
            "legal_form",
            "company_number",
            "vat_regime",
            "vat_regime_since",
            "vat_on_debits",
            "vat_id",
            "tax_number",
            "default_rate_pct",
            "address",
            "postcode",
            "city",
            "country",
            "iban",
            "bic",
            "payment_days",
            "penalty_rate_pct",
            "invoice_prefix",
            "credit_prefix",
        ]
        widgets = {"address": forms.Textarea(attrs={"rows": 2}), "vat_regime_since": DayInput()}

    def clean(self) -> dict[str, Any]:
        """Check the official numbers, and keep the two series of numbers apart."""
        cleaned: dict[str, Any] = super().clean() or {}
        check_numbers(self, cleaned)
        check_rate(self, cleaned, cleaned.get("country", ""))
        if cleaned.get("invoice_prefix") == cleaned.get("credit_prefix"):
            self.add_error("credit_prefix", _("Credit notes need letters of their own."))
        if (cleaned.get("payment_days") or 0) > MOST_DAYS_TO_PAY:
            self.add_error("payment_days", _("More than 365 days is not possible here."))
        return cleaned


def check_rate(form: forms.BaseForm, cleaned: dict[str, Any], country: str) -> None:
    """The usual rate must be one of today's, where the law of the country is known."""
    rate_pct = cleaned.get("default_rate_pct")
    if rate_pct is None or cleaned.get("vat_regime") != House.VatRegime.NORMAL:
        return
    if fault := rate_fault(country, rate_pct, timezone.localdate()):
        form.add_error("default_rate_pct", fault)


class FirstHouseForm(forms.ModelForm):
    """What every paper bears at its head: the first thing that a new house says of itself."""

    country = CountryField()

    class Meta:
        model = House
        fields = ["name", "address", "country", "phone", "email"]
        widgets = {"address": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk is None:
            self.initial["name"] = ""  # a house that nobody named bears the program's name


class FirstRatesForm(forms.ModelForm):
    """What an hour costs, and whether VAT stands on invoices."""

    hourly_rate = QuantityField(
        label=_("usual hourly rate, before tax"), unit="", least="0", most="9999", required=True
    )
    default_rate_pct = QuantityField(
        label=_("usual VAT rate"), unit="%", least="0", most="30", required=True
    )

    class Meta:
        model = House
        fields = ["hourly_rate", "vat_regime", "default_rate_pct"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["hourly_rate"].widget.attrs["data-unit"] = self.instance.currency

    def clean(self) -> dict[str, Any]:
        """Hold the rate of VAT against the law of the country."""
        cleaned: dict[str, Any] = super().clean() or {}
        check_rate(self, cleaned, self.instance.country)
        return cleaned
