"""The forms of the page on which an estimate is written; ``entry.py`` puts them together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy as _

from repairs.estimates.models import Estimate, Option, OptionLine
from repairs.estimates.wishes import LineWish
from repairs.findings.models import Finding
from repairs.language.durations import duration_words, hours_words
from repairs.procedures.procedure import Procedure
from repairs.screens.fields import DayInput, LeanSelect, QuantityField
from repairs.screens.minutes import MinutesField

COSTS = (OptionLine.Kind.MATERIAL, OptionLine.Kind.OUTSIDE)


def per_cent(label: Any, **kwargs: Any) -> QuantityField:
    """A field for a share of a hundred."""
    return QuantityField(unit="%", least="0", most="100", label=label, **kwargs)


class EstimateForm(forms.ModelForm):
    """What holds for all options."""

    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)
    tax_pct = per_cent(_("VAT"))
    stop_pct = per_cent(
        _("will stop and ask at"),
        places=0,
        help_text=_("Above the upper total, as far as the ceiling of the option allows."),
    )
    deposit_pct = per_cent(_("deposit"), places=0, help_text=_("Of the lower total."))

    class Meta:
        model = Estimate
        fields = [
            "valid_until",
            "hourly_rate",
            "survey_fee",
            "tax_pct",
            "tax_words",
            "stop_pct",
            "deposit_pct",
            "intro",
        ]
        widgets = {
            "valid_until": DayInput(),
            "intro": forms.Textarea(attrs={"rows": 3, "dir": "auto"}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        unit = self.instance.currency
        for name, most in (("hourly_rate", "9999"), ("survey_fee", "999999")):
            model_field = self._meta.model._meta.get_field(name)
            self.fields[name] = QuantityField(
                label=model_field.verbose_name,
                help_text=model_field.help_text,
                unit=unit,
                least="0",
                most=most,
                required=name == "hourly_rate",
            )
        self.initial["seen"] = self.instance.revision

    def clean(self) -> dict[str, Any]:
        """Take an empty fee, rate or margin as none."""
        cleaned: dict[str, Any] = super().clean() or {}
        for name in ("survey_fee", "tax_pct", "stop_pct", "deposit_pct"):
            if cleaned.get(name) is None and name not in self.errors:
                cleaned[name] = Decimal(0)
        return cleaned


class RowForm(forms.Form):
    """A part of the page that may stay empty; then it is left out."""

    use_required_attribute = False

    def is_left_empty(self) -> bool:
        """Whether nothing was typed into the row, so that it is no row."""
        return not self.has_changed()


class OptionForm(RowForm):
    """One way offered, without its lines."""

    kind = forms.ChoiceField(label=_("kind"), choices=Option.Kind.choices)
    title = forms.CharField(label=_("in a line"), max_length=120, required=False)
    promise = forms.CharField(label=_("what it gives"), max_length=1500, required=False)
    risk = forms.CharField(label=_("risk"), max_length=1500, required=False)
    reversibility = forms.CharField(label=_("reversibility"), max_length=1500, required=False)
    left_out = forms.CharField(label=_("not included"), max_length=1500, required=False)

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("promise", "risk", "reversibility", "left_out"):
            self.fields[name].widget = forms.Textarea(attrs={"rows": 2, "dir": "auto"})
        self.fields["ceiling"] = QuantityField(
            label=_("ceiling, tax included"),
            unit=currency,
            least="0",
            most="9999999",
            help_text=_("The owner never pays more without a new consent. Empty: the upper total."),
        )

    def is_left_empty(self) -> bool:
        """The kind alone says nothing: it is there from the beginning."""
        return not set(self.changed_data) - {"kind"}


class LineForm(RowForm):
    """Work under a procedure, a material, or a cost from outside."""

    words = forms.CharField(label=_("in words"), max_length=300, required=False)
    minutes_low = MinutesField(label=_("minutes, at least"))
    minutes_high = MinutesField(label=_("minutes, at most"), help_text="")
    is_sampling = forms.BooleanField(
        label=_("a sample is taken, and used up by a test"), required=False
    )

    def __init__(
        self,
        *args: Any,
        procedures: Mapping[str, Procedure],
        findings: Mapping[str, Finding],
        currency: str,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.procedures, self.known = procedures, findings
        self._add_fields(currency)
        self.order_fields(["what", "words", "minutes_low", "minutes_high", "amount"])
        self._show_usual()

    def _add_fields(self, currency: str) -> None:
        self.fields["what"] = forms.ChoiceField(
            label=_("work, material or cost"),
            required=False,
            widget=LeanSelect,
            choices=_what_choices(self.procedures),
        )
        self.fields["amount"] = QuantityField(
            label=_("amount before tax"),
            unit=currency,
            least="0",
            most="9999999",
            help_text=_("For work: a fixed price in the place of hours."),
        )
        self.fields["findings"] = forms.MultipleChoiceField(
            label=_("findings that it answers"),
            required=False,
            choices=[(number, str(row)) for number, row in self.known.items()],
            widget=forms.CheckboxSelectMultiple,
        )

    def _show_usual(self) -> None:
        """The usual minutes of the chosen procedure stand faintly in the empty fields."""
        chosen = self["what"].value() or ""
        if procedure := self.procedures.get(str(chosen)):
            low, high = procedure.minutes
            self.fields["minutes_low"].widget.attrs["placeholder"] = str(low)
            self.fields["minutes_high"].widget.attrs["placeholder"] = str(high)

    @property
    def chosen_count(self) -> int:
        """How many findings are ticked, for the fold that hides them."""
        return len(self["findings"].value() or [])

    def clean(self) -> dict[str, Any]:
        """Ask of a work its hours or price, of a cost its price and words."""
        cleaned: dict[str, Any] = super().clean() or {}
        what = cleaned.get("what")
        if self.is_left_empty() or "what" in self.errors:
            return cleaned
        if not what:
            self.add_error("what", _("Say what it is: work, a material, or a cost."))
        elif what in COSTS:
            self._clean_cost(cleaned)
        else:
            self._clean_work(cleaned, self.procedures[what])
        return cleaned

    def _clean_cost(self, cleaned: dict[str, Any]) -> None:
        if not cleaned.get("words"):
            self.add_error("words", _("Say which material or cost it is."))
        if cleaned.get("amount") is None and "amount" not in self.errors:
            self.add_error("amount", _("Give the amount before tax."))
        if cleaned.get("minutes_low") or cleaned.get("minutes_high"):
            self.add_error("minutes_low", _("Minutes belong to work under a procedure."))

    def _clean_work(self, cleaned: dict[str, Any], procedure: Procedure) -> None:
        """Minutes left empty are the usual ones; one of the two alone is both."""
        low, high = cleaned.get("minutes_low"), cleaned.get("minutes_high")
        if low is None and high is None and cleaned.get("amount") is None:
            low, high = procedure.minutes
        low = high if low is None else low
        high = low if high is None else high
        if low is not None and high is not None and low > high:
            self.add_error("minutes_high", _("At most is less than at least: check the minutes."))
        cleaned["minutes_low"], cleaned["minutes_high"] = low, high

    def understood(self) -> Iterator[tuple[str, str]]:
        """What was typed in another way than as whole minutes, and what it was taken for."""
        for name in ("minutes_low", "minutes_high"):
            words, minutes = str(self[name].value() or "").strip(), self.cleaned_data.get(name)
            if words and minutes is not None and not words.isdecimal():
                yield words, duration_words(minutes)

    def wish(self) -> LineWish:
        """The line as wished. Call it after ``is_valid``."""
        said = self.cleaned_data
        what = said["what"]
        is_cost = what in COSTS
        return LineWish(
            kind=what if is_cost else OptionLine.Kind.WORK,
            procedure="" if is_cost else what,
            findings=[self.known[number] for number in said["findings"]],
            words=said["words"],
            minutes_low=None if is_cost else said["minutes_low"],
            minutes_high=None if is_cost else said["minutes_high"],
            amount=said["amount"],
            is_sampling=said["is_sampling"],
        )


def _what_choices(procedures: Mapping[str, Procedure]) -> list[tuple[str, str]]:
    """The costs, then each procedure with its usual hours, marked when it cannot be undone."""
    rows = [("", "—"), *((kind.value, str(kind.label)) for kind in COSTS)]
    for key, one in procedures.items():
        hours = hours_words(*one.minutes)
        mark = " ✕" if one.is_irreversible else ""
        rows.append((key, f"{capfirst(str(one))} ({hours}){mark}"))
    return rows
