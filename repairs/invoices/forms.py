from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from repairs.fields import DayInput, LeanSelect, QuantityField
from repairs.invoices.actions import DRAFT_FIELDS
from repairs.invoices.codes import Category, Kind, Means, Unit
from repairs.invoices.doubts import payment_doubts
from repairs.invoices.late_charges import charges_left
from repairs.invoices.models import DraftLine, Invoice, InvoiceDraft, Payment
from repairs.invoices.remaining import deposits_of
from repairs.invoices.taxing import Tax

BLANK_LINES = 2
MOST_LINES = 200
SEEN_FIELDS = ("description", "quantity", "unit", "unit_price")
FOLDED_FIELDS = ("details", "sort", "discount", "category", "rate_pct")
MOST_BYTES = 20 * 1024 * 1024


class DraftForm(forms.ModelForm):
    """All of a draft but its lines."""

    revision = forms.IntegerField(widget=forms.HiddenInput)
    discount_pct = QuantityField(
        label=_("discount on the whole"), unit="%", least="0", most="100", required=True
    )
    deposits = forms.ModelMultipleChoiceField(
        label=_("deposits to deduct"),
        queryset=Invoice.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    class Meta:
        model = InvoiceDraft
        fields = [*DRAFT_FIELDS, "revision"]
        widgets = {
            "delivery_on": DayInput(),
            "note": forms.Textarea(attrs={"rows": 2, "dir": "auto"}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in self._needless():
            del self.fields[name]
        self.fields["means"].choices = Means.of_people()  # type: ignore[attr-defined]
        if "deposits" in self.fields:
            self.fields["deposits"].queryset = deposits_of(self.instance)  # type: ignore[attr-defined]
            self.initial["deposits"] = self.instance.deposits.all()
        if self.instance.is_credit:
            self.fields["note"].label = _("why it is credited")
            self.fields["note"].required = True

    def see(self, revision: int) -> None:
        """The person has been shown what was saved meanwhile: saving again replaces it."""
        data = self.data.copy()  # type: ignore[attr-defined]
        data[self.add_prefix("revision")] = str(revision)
        self.data = data

    def _needless(self) -> Iterator[str]:
        """What such a draft does not ask."""
        draft = self.instance
        if draft.is_credit:
            yield "payment_days"
        if draft.kind != Kind.INVOICE:
            yield "delivery_on"
        if draft.kind != Kind.INVOICE or not deposits_of(draft).exists():
            yield "deposits"
        if draft.is_credit or draft.case_id is None:
            yield "above_because"


class LineForm(forms.Form):
    """One line; a row in which nothing is written is left out."""

    sort = forms.ChoiceField(
        label=_("what it is"), choices=DraftLine.Sort.choices, widget=LeanSelect
    )
    description = forms.CharField(label=_("description"), max_length=200)
    details = forms.CharField(label=_("details"), max_length=500, required=False)
    quantity = QuantityField(
        label=_("quantity"), unit="", least="0.0001", most="9999999", places=4, required=True
    )
    unit = forms.ChoiceField(label=_("unit"), choices=Unit.choices, widget=LeanSelect)
    unit_price = QuantityField(
        label=_("price before tax"), unit="", least="0", most="99999999", places=4, required=True
    )
    discount = QuantityField(label=_("discount"), unit="", least="0", most="99999999")
    category = forms.ChoiceField(label=_("tax"), widget=LeanSelect)
    rate_pct = QuantityField(label=_("VAT rate, %"), unit="%", least="0", most="100", required=True)
    source = forms.CharField(max_length=60, required=False, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, usual: Tax, taxes: Sequence[tuple[str, str]], currency: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["category"].choices = taxes  # type: ignore[attr-defined]
        for name in ("unit_price", "discount"):
            self.fields[name].label = f"{self.fields[name].label}, {currency}"
        blank = {"sort": DraftLine.Sort.HOURS, "unit": Unit.HOUR}
        for name, value in {
            **blank,
            "category": usual.category,
            "rate_pct": usual.rate_pct,
        }.items():
            self.fields[name].initial = value

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        category, rate_pct = cleaned.get("category"), cleaned.get("rate_pct")
        if category and rate_pct is not None and (rate_pct > 0) != (category == Category.STANDARD):
            self.add_error(
                "rate_pct",
                _("A rate above zero goes with “taxed” only, and “taxed” with no other."),
            )
        return cleaned

    @property
    def seen(self) -> list[forms.BoundField]:
        return [self[name] for name in SEEN_FIELDS]

    @property
    def folded(self) -> list[forms.BoundField]:
        return [self[name] for name in FOLDED_FIELDS]

    @property
    def is_unfolded(self) -> bool:
        """What is to be mended is never hidden."""
        return any(name in self.errors for name in FOLDED_FIELDS)

    @property
    def folded_words(self) -> str:
        """What stands in the folded fields, in short: work, 20 %, discount 5."""
        said = {name: str(self[name].value() or "") for name in FOLDED_FIELDS}
        sorts, categories = dict(DraftLine.Sort.choices), dict(Category.choices)
        rate = gettext("%(rate)s %%") % {"rate": said["rate_pct"] or "0"}
        taxed = said["category"] == Category.STANDARD
        parts = [sorts.get(said["sort"]), rate if taxed else categories.get(said["category"])]
        if said["discount"].strip("0,. "):
            parts.append(gettext("discount %(amount)s") % {"amount": said["discount"]})
        return ", ".join(str(part) for part in (*parts, said["details"]) if part)

    def line(self) -> DraftLine:
        said = {name: value for name, value in self.cleaned_data.items() if name != "DELETE"}
        return DraftLine(**{**said, "discount": said["discount"] or 0})


class BaseLineFormSet(forms.BaseFormSet):
    """The lines in their order; blank rows at the end take new ones."""

    def add_fields(self, form: Any, index: int | None) -> None:
        super().add_fields(form, index)
        form.place = (index or 0) + 1
        form.is_saved = index is not None and index < self.initial_form_count()

    def kept(self) -> list[DraftLine]:
        """All lines but those ticked to be left out and the rows in which nothing was written."""
        out, saved = self.deleted_forms, self.initial_form_count()
        return [
            form.line()
            for place, form in enumerate(self.forms)
            if form not in out and (place < saved or form.has_changed())
        ]


LINE_FIELDS = tuple(LineForm.base_fields)
LineFormSet = forms.formset_factory(
    LineForm,
    formset=BaseLineFormSet,
    extra=BLANK_LINES,
    can_delete=True,
    max_num=MOST_LINES,
    validate_max=True,
)


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
        self.order_fields(["sort", "amount", "means", "paid_on", "note", "sure"])
        self.fields["sure"].widget = forms.HiddenInput()

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("sort") == Payment.Sort.REFUND and cleaned.get("amount"):
            cleaned["amount"] = -cleaned["amount"]
        if not self.errors:
            self._ask(cleaned)
        return cleaned

    def _ask(self, cleaned: dict[str, Any]) -> None:
        """What is unusual is noted only after a second look."""
        invoice = self.instance.invoice
        doubts = payment_doubts(invoice, cleaned["amount"], cleaned["means"])
        if doubts:
            self.fields["sure"].widget = forms.CheckboxInput()
            if not cleaned["sure"]:
                self.add_error(None, [*doubts, _("If it is so, tick “note it all the same”.")])


class SendForm(forms.Form):
    address = forms.EmailField(label=_("to"))
    subject = forms.CharField(label=_("subject"), max_length=150)
    text = forms.CharField(
        label=_("message"), max_length=4000, widget=forms.Textarea(attrs={"rows": 7})
    )


class ReceivedForm(forms.Form):
    """A file that somebody sent: a PDF with an e-invoice inside, or the XML alone."""

    file = forms.FileField(
        label=_("the file"),
        allow_empty_file=True,
        widget=forms.ClearableFileInput(
            attrs={"accept": "application/pdf,application/xml,text/xml,.xml"}
        ),
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if (file.size or 0) > MOST_BYTES:
            raise forms.ValidationError(_("This file has more than 20 MB; no invoice needs that."))
        return file
