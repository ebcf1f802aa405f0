"""The form of a draft and of its lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext, pgettext
from django.utils.translation import gettext_lazy as _

from repairs.invoices.actions import DRAFT_FIELDS
from repairs.invoices.codes import Category, Kind, Means, Unit
from repairs.invoices.deposits import deposits_of
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.models import Invoice
from repairs.invoices.taxing import Tax
from repairs.screens.fields import DayInput, LeanSelect, QuantityField

BLANK_LINES = 2
MOST_LINES = 200
SEEN_FIELDS = ("description", "quantity", "unit", "unit_price")
FOLDED_FIELDS = ("details", "sort", "discount", "category", "rate_pct")


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
        if self.instance.kind == Kind.DEPOSIT:
            self.fields["delivery_on"].label = pgettext("day of a deposit", "paid on")
            self.fields["delivery_on"].help_text = _(
                "Empty: not paid yet. What holds is the rate of the day on which it is paid."
            )
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
        if draft.is_credit:
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
    gross = forms.DecimalField(
        max_digits=14, decimal_places=2, required=False, widget=forms.HiddenInput
    )

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
        """Refuse a rate on a category without VAT, and a standard line without a rate."""
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
        """The fields that stand open in the row."""
        return [self[name] for name in SEEN_FIELDS]

    @property
    def folded(self) -> list[forms.BoundField]:
        """The fields that are seldom needed, behind a fold."""
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
        """The line as typed, not saved yet. Call it after ``is_valid``."""
        said = {name: value for name, value in self.cleaned_data.items() if name != "DELETE"}
        return DraftLine(**{**said, "discount": said["discount"] or 0})


class BaseLineFormSet(forms.BaseFormSet):
    """The lines in their order; blank rows at the end take new ones."""

    def add_fields(self, form: Any, index: int | None) -> None:
        """Give each row its place, counted from 1, for its labels."""
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
