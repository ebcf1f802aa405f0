"""Forms of the house's settings: its name and terms, and what its invoices say."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repairs.law.rates import rate_fault
from repairs.people.forms import CountryField, check_numbers
from repairs.people.house_models import House
from repairs.screens.fields import QuantityField

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
        widgets = {"address": forms.Textarea(attrs={"rows": 2})}

    def clean(self) -> dict[str, Any]:
        """Check the official numbers, and keep the two series of numbers apart."""
        cleaned: dict[str, Any] = super().clean() or {}
        check_numbers(self, cleaned)
        self._check_rate(cleaned)
        if cleaned.get("invoice_prefix") == cleaned.get("credit_prefix"):
            self.add_error("credit_prefix", _("Credit notes need letters of their own."))
        if (cleaned.get("payment_days") or 0) > MOST_DAYS_TO_PAY:
            self.add_error("payment_days", _("More than 365 days is not possible here."))
        return cleaned

    def _check_rate(self, cleaned: dict[str, Any]) -> None:
        """The usual rate must be one of today's, where the law of the country is known."""
        rate_pct, country = cleaned.get("default_rate_pct"), cleaned.get("country", "")
        if rate_pct is None or cleaned.get("vat_regime") != House.VatRegime.NORMAL:
            return
        if fault := rate_fault(country, rate_pct, timezone.localdate()):
            self.add_error("default_rate_pct", fault)
