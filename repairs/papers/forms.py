from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.papers.needs.leaving import needs_reason
from repairs.screens.fields import RH_UNIT, DayInput, LocalMomentInput, QuantityField

FIELDS = (
    "ending",
    "received_name",
    "returned_at",
    "state_at_return",
    "items",
    "why_unworked",
    "reserve",
    "next_check_on",
    "room_t_c",
    "room_rh_pct",
)


class HandBackForm(forms.ModelForm):
    """What is written down at the counter when the instrument goes home."""

    room_t_c = QuantityField(
        label=_("room temperature"), unit="°C", least="-10", most="50", places=1
    )
    room_rh_pct = QuantityField(
        label=_("room humidity"), unit=RH_UNIT, least="0", most="100", places=1
    )

    class Meta:
        model = HandBack
        fields = list(FIELDS)
        widgets = {
            "returned_at": LocalMomentInput(),
            "state_at_return": forms.Textarea(attrs={"rows": 3, "dir": "auto"}),
            "items": forms.Textarea(attrs={"rows": 3, "dir": "auto"}),
            "reserve": forms.Textarea(attrs={"rows": 4, "dir": "auto"}),
            "next_check_on": DayInput(),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        case = self.instance.case
        endings = [(step, Case.Step(step).label) for step in case.endings]
        self.fields["received_name"].required = False  # nobody receives what goes to stock
        self.fields["ending"] = forms.ChoiceField(label=_("how it ends"), choices=endings)
        self.fields["why_unworked"].required = True
        if not needs_reason(case):
            del self.fields["why_unworked"]
            self.instance.why_unworked = ""
        if self.instance.returned_at is None:
            self.initial["returned_at"] = timezone.localtime()

    def clean_returned_at(self) -> dt.datetime:
        """The moment of the return, after the intake and not to come."""
        moment: dt.datetime = self.cleaned_data["returned_at"]
        if moment < self.instance.case.received_at:
            raise forms.ValidationError(_("The instrument had not been received yet then."))
        if moment > timezone.now():
            raise forms.ValidationError(_("It cannot have been handed over in the future."))
        return moment

    def clean(self) -> dict[str, Any]:
        """Ask for the name of who takes it, except when it goes into the house's stock."""
        cleaned: dict[str, Any] = super().clean() or {}
        to_stock = cleaned.get("ending") == Case.Step.TO_STOCK
        if not to_stock and not cleaned.get("received_name"):
            self.add_error("received_name", self.fields["received_name"].error_messages["required"])
        if to_stock:
            cleaned["received_name"] = ""
        moment, check = cleaned.get("returned_at"), cleaned.get("next_check_on")
        if moment and check and check < timezone.localtime(moment).date():
            self.add_error("next_check_on", _("This day lies before the return. Check the year."))
        return cleaned
