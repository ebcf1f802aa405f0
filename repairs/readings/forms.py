"""What is typed beside the values of a reading; tools; the workshop’s own limits."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.core.validators import MinValueValidator
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repairs.cases.reasons import steps_for
from repairs.readings.models import HouseLimit, Reading, Tool
from repairs.screens.entries import BoundGroup, Entry, Group, bound_groups
from repairs.screens.fields import RH_UNIT, DayInput, LocalMomentInput, QuantityField


class ReadingForm(forms.ModelForm):
    """All that is known of a reading beside its values."""

    room_t_c = QuantityField(
        label=_("room temperature"), unit="°C", least="-10", most="50", places=1
    )
    room_rh_pct = QuantityField(
        label=_("room humidity"), unit=RH_UNIT, least="0", most="100", places=1
    )

    class Meta:
        model = Reading
        fields = [
            "phase",
            "round",
            "subject",
            "tool",
            "taken_at",
            "room_t_c",
            "room_rh_pct",
            "not_permitted",
            "note",
        ]
        widgets = {
            "taken_at": LocalMomentInput(),
            "note": forms.Textarea(attrs={"rows": 2, "dir": "auto"}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["tool"].queryset = Tool.objects.filter(retired_at=None)  # type: ignore[attr-defined]
        self.fields["round"].validators.append(
            MinValueValidator(1, _("Rounds are counted from 1."))
        )
        if "to_stock" not in steps_for(self.instance.case.reason):
            del self.fields["round"]

    @property
    def beside(self) -> BoundGroup:
        """All of it as one group, folded until it matters."""
        entries = tuple(Entry(name) for name in self.fields)
        return bound_groups(self, (Group(_("When, with what, in which room"), entries),))[0]

    def clean_taken_at(self) -> dt.datetime:
        """Not after now (five minutes for clocks that differ), nor before the instrument came."""
        moment: dt.datetime = self.cleaned_data["taken_at"]
        if moment > timezone.now() + dt.timedelta(minutes=5):
            raise forms.ValidationError(_("A reading cannot have been taken in the future."))
        if moment < self.instance.case.received_at - dt.timedelta(days=1):
            raise forms.ValidationError(_("This lies before the intake. Check the date."))
        return moment


class ToolForm(forms.ModelForm):
    """A measuring tool: how finely it reads says how far its figures can be trusted."""

    resolution = QuantityField(
        label=_("resolution"), unit="", least="0.0001", most="1000", places=4, required=True
    )

    class Meta:
        model = Tool
        fields = ["name", "resolution", "unit", "calibrated_on", "note"]
        widgets = {"calibrated_on": DayInput()}


class LimitForm(forms.ModelForm):
    """A limit of the house; without a source nobody could say later why it was set."""

    lower = QuantityField(label=_("from"), unit="", least="-1000000", most="1000000", places=6)
    upper = QuantityField(label=_("to"), unit="", least="-1000000", most="1000000", places=6)

    class Meta:
        model = HouseLimit
        fields = ["lower", "upper", "source"]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        lower, upper = cleaned.get("lower"), cleaned.get("upper")
        if lower is None and upper is None and not self.errors:
            raise forms.ValidationError(_("Give at least one of the two ends."))
        if lower is not None and upper is not None and upper < lower:
            self.add_error("upper", _("The upper end lies below the lower one."))
        return cleaned
