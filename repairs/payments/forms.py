"""Forms for a payment and for a message."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from repairs.invoices.codes import Means
from repairs.invoices.models import Payment
from repairs.payments.doubts import payment_doubts
from repairs.payments.late_charges import charges_left
from repairs.screens.fields import DayInput, QuantityField


class PaymentForm(forms.ModelForm):
    """Money that came, or that was paid back: typed without a sign."""

    sure = forms.BooleanField(label=_("note it all the same"), required=False)
    sort = forms.ChoiceField(
        label=_("what it is"),
        choices=[
            (Payment.Sort.RECEIVED.value, Payment.Sort.RECEIVED.label),
            (Payment.Sort.REFUND.value, Payment.Sort.REFUND.label),
        ],
    )

    class Meta:
        model = Payment
        fields = ["sort", "amount", "means", "paid_on", "note"]
        widgets = {"paid_on": DayInput()}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if charges_left(self.instance.invoice).whole:
            charges = (Payment.Sort.CHARGES.value, Payment.Sort.CHARGES.label)
            self.fields["sort"].choices = [*self.fields["sort"].choices, charges]  # type: ignore[attr-defined]
        self.fields["amount"] = QuantityField(
            label=_("amount"),
            unit=self.instance.invoice.currency,
            least="0.01",
            most="99999999",
            required=True,
        )
        self.fields["means"].choices = Means.of_people()  # type: ignore[attr-defined]
        self.fields["sure"].widget = forms.HiddenInput()

    def clean(self) -> dict[str, Any]:
        """Give what was paid back its sign, then ask about what is odd."""
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("sort") == Payment.Sort.REFUND and cleaned.get("amount"):
            cleaned["amount"] = -cleaned["amount"]
        if not self.errors:
            self._ask(cleaned)
        return cleaned

    def _ask(self, cleaned: dict[str, Any]) -> None:
        """What is unusual is noted only after a second look."""
        invoice = self.instance.invoice
        doubts = payment_doubts(invoice, cleaned["amount"], cleaned["means"], cleaned["paid_on"])
        if doubts:
            self.fields["sure"].widget = forms.CheckboxInput()
            if not cleaned["sure"]:
                self.add_error(None, [*doubts, _("If it is so, tick “note it all the same”.")])


class SendForm(forms.Form):
    """A message with one paper enclosed."""

    address = forms.EmailField(label=_("to"))
    subject = forms.CharField(label=_("subject"), max_length=150)
    text = forms.CharField(
        label=_("message"), max_length=4000, widget=forms.Textarea(attrs={"rows": 7})
    )
