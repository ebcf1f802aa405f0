from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from repairs.findings.models import Finding
from repairs.findings.vocabulary import term_choices
from repairs.instruments.part_models import Part
from repairs.instruments.scales import scale_choices
from repairs.screens.fields import QuantityField


class IndentedPartField(forms.ModelChoiceField):
    """A part of the instrument, the tree shown by its indent."""

    def label_from_instance(self, part: Part) -> str:
        """The part's name, set in by its depth in the tree of parts."""
        indent = "\u2003" * part.depth
        return f"{indent}{part.label()}"


class FindingForm(forms.ModelForm):
    """What was seen on one part: the term, how bad, how far it goes, and how soon to act."""

    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)
    extent_value = QuantityField(label=_("extent"), unit="", least="0", most="99999")

    class Meta:
        model = Finding
        fields = [
            "part",
            "term",
            "location",
            "extent_value",
            "extent_unit",
            "severity",
            "stability",
            "age",
            "urgency",
            "cause",
            "note",
        ]
        widgets = {"note": forms.Textarea(attrs={"rows": 3, "dir": "auto"})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        parts = Part.objects.filter(instrument=self.instance.case.instrument_id)
        self.fields["part"] = IndentedPartField(
            label=_("part"), queryset=parts.select_related("instrument"), empty_label=_("choose")
        )
        self.fields["term"] = forms.ChoiceField(
            label=_("what is seen"),
            choices=[("", _("choose")), *term_choices(self.instance.case.instrument.pattern)],
        )
        self.fields["extent_unit"] = forms.ChoiceField(
            label=_("unit"),
            required=False,
            choices=[("", "—"), *scale_choices("extent_units")],
        )
        self.fields["urgency"] = forms.TypedChoiceField(
            label=_("urgency"), choices=scale_choices("urgency"), coerce=int
        )
        self.fields["severity"] = forms.TypedChoiceField(
            label=_("severity"),
            coerce=int,
            choices=scale_choices("severity"),
            widget=forms.RadioSelect,
        )
        self.fields["cause"] = forms.ChoiceField(
            label=_("probable cause"), required=False, choices=[("", "—"), *scale_choices("causes")]
        )
        self.initial["seen"] = self.instance.revision

    def clean(self) -> dict[str, Any]:
        """Refuse an extent without its unit: a number alone says nothing in ten years."""
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("extent_value") is not None and not cleaned.get("extent_unit"):
            self.add_error("extent_unit", _("Give the unit of the extent."))
        return cleaned
