from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext_lazy as _

from repairs.law.countries import country_choices, is_country
from repairs.law.numbers import (
    bic_fault,
    country_fault,
    firm_fault,
    iban_fault,
    siren_fault,
    siret_fault,
    tidy,
    vat_fault,
)
from repairs.people.models import Client, DataConsent, Role, User
from repairs.screens.fields import LeanSelect


class CountryField(forms.ChoiceField):
    """A country by its name in the language in force; what was sent is its two letters."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            label=_("country"), choices=self._offered, widget=LeanSelect, initial="FR", **kwargs
        )

    @staticmethod
    def _offered() -> list[tuple[str, str]]:
        """Nothing first, so that what is no country never shows as the first of the list."""
        return [("", "—"), *country_choices()]

    def to_python(self, value: object) -> str:
        """The two letters as capitals, however they were typed."""
        return str(super().to_python(value)).strip().upper()

    def validate(self, value: Any) -> None:
        """Refuse letters that ISO 3166-1 gives to no country."""
        if value and not is_country(value):
            raise forms.ValidationError(country_fault(value))
        super().validate(value)


def check_numbers(form: forms.BaseForm, cleaned: dict[str, Any]) -> None:
    """Tidy the numbers of a firm and set beside each field what is wrong with its own."""
    country = cleaned.get("country", "")
    for name in ("vat_id", "company_number", "iban", "bic"):
        if cleaned.get(name):
            cleaned[name] = tidy(cleaned[name])
    faults = {
        "vat_id": vat_fault(cleaned.get("vat_id", ""), country),
        "iban": iban_fault(cleaned.get("iban", "")),
        "bic": bic_fault(cleaned.get("bic", "")),
    }
    if country == "FR":
        number = cleaned.get("company_number", "")
        fault = siret_fault(number) if len(number) > 9 else siren_fault(number)
        faults["company_number"] = fault or firm_fault(cleaned.get("vat_id", ""), number)
    for name, fault in faults.items():
        if fault:
            form.add_error(name, fault)


class ClientForm(forms.ModelForm):
    """A client. When someone alike is known, the form offers them before it makes a second one."""

    country = CountryField()
    really_new = forms.BooleanField(
        label=_("This is somebody else: enter them all the same"), required=False
    )

    class Meta:
        model = Client
        fields = [
            "kind",
            "name",
            "contact",
            "address",
            "postcode",
            "city",
            "country",
            "email",
            "phone",
            "language",
            "note",
            "vat_id",
            "company_number",
            "buyer_reference",
            "e_address",
        ]
        widgets = {
            "address": forms.Textarea(attrs={"rows": 3, "autocomplete": "off"}),
            "note": forms.Textarea(attrs={"rows": 2}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.alike: list[Client] = []

    def clean(self) -> dict[str, Any]:
        """Check the official numbers, and warn of somebody who may be known already."""
        cleaned: dict[str, Any] = super().clean() or {}
        check_numbers(self, cleaned)
        if not cleaned.get("name"):
            return cleaned
        known = Client.objects.like(
            name=cleaned["name"], email=cleaned.get("email", ""), phone=cleaned.get("phone", "")
        )
        self.alike = list(known.exclude(pk=self.instance.pk)[:5])
        if self.alike and not cleaned.get("really_new"):
            self.add_error(
                "really_new",
                _("Someone alike is already known. Use that entry, or tick here to go on."),
            )
        return cleaned


class CounterClientForm(ClientForm):
    """As much of a client as a receipt needs; the rest is asked on their own page."""

    country = None  # type: ignore[assignment] # not asked for at the counter

    class Meta(ClientForm.Meta):
        fields = ["name", "phone", "email", "address"]
        widgets = {"address": forms.Textarea(attrs={"rows": 2, "autocomplete": "off"})}


class ConsentForm(forms.ModelForm):
    """What the client allows with data or photos, and how it was said."""

    class Meta:
        model = DataConsent
        fields = ["purpose", "how"]


class UserForm(forms.ModelForm):
    """Somebody who works here: name, role, language, password."""

    password = forms.CharField(
        label=_("password"),
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=_("Leave empty to keep the present one."),
    )

    class Meta:
        model = User
        fields = [
            "username",
            "first_name",
            "last_name",
            "email",
            "qualification",
            "role",
            "language",
            "is_active",
        ]

    def clean_password(self) -> str:
        """A password that Django's rules accept; a new account cannot do without."""
        password = str(self.cleaned_data.get("password") or "")
        if password:
            validate_password(password, self.instance)
        elif self.instance.pk is None:
            raise forms.ValidationError(_("Give a first password, to be changed later."))
        return password

    def clean(self) -> dict[str, Any]:
        """The house always keeps one active principal, or nobody could let others in again."""
        cleaned: dict[str, Any] = super().clean() or {}
        stays = cleaned.get("role") == Role.PRINCIPAL and cleaned.get("is_active")
        others = User.objects.filter(role=Role.PRINCIPAL, is_active=True).exclude(
            pk=self.instance.pk
        )
        was_principal = User.objects.filter(
            pk=self.instance.pk, role=Role.PRINCIPAL, is_active=True
        ).exists()
        if was_principal and not stays and not others.exists():
            self.add_error(
                "role", _("This is the only principal. Name another one before changing this.")
            )
        return cleaned
