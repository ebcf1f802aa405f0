from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repairs.cases.entries import FOLDED, GROUPS, INTAKE_FIELDS, TALK
from repairs.cases.folded import FoldedGroup, folded_groups
from repairs.cases.models import LEAVES, Case
from repairs.cases.reasons import reason_choices
from repairs.instruments.consumables import is_cottoned
from repairs.screens.entries import BoundGroup, bound_groups, text_boxes
from repairs.screens.fields import RH_UNIT, DayInput, LocalMomentInput, QuantityField

EARLIEST_YEAR = 1900  # of the oldest day-book that may still be entered


class IntakeForm(forms.ModelForm):
    """What is written down at the counter, in the order of the talk."""

    room_t_c = QuantityField(
        label=_("room temperature"), unit="°C", least="-10", most="50", places=1
    )
    room_rh_pct = QuantityField(
        label=_("room humidity"), unit=RH_UNIT, least="0", most="100", places=1
    )

    class Meta:
        model = Case
        fields = list(INTAKE_FIELDS)
        widgets = {
            **text_boxes(GROUPS),
            "received_at": LocalMomentInput(),
            "promised_on": DayInput(),
            "review_on": DayInput(),
            **dict.fromkeys(LEAVES, forms.RadioSelect),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"] = forms.ChoiceField(label=_("reason"), choices=reason_choices())
        self.fields["insured_value"] = QuantityField(
            label=_("value insured during the stay"),
            unit=self.instance.instrument.currency,
            least="0",
            most="99999999",
        )
        self.fields["owner_words"].help_text = ""
        self.fields["state_at_intake"].help_text = _("It stands on the receipt.")
        for name in set(LEAVES) - set(self.instance.leaves_asked):
            del self.fields[name]
        if not is_cottoned(self.instance.instrument.pattern):
            self.fields["consumables_kept"].label = _("the owner wants the old strings back")

    @property
    def talk(self) -> BoundGroup:
        """What is asked of everybody, in the order of the talk at the counter."""
        return bound_groups(self, (TALK,))[0]

    @property
    def folded(self) -> list[FoldedGroup]:
        """The rest, folded: each with what it says as long as nobody opens it."""
        return folded_groups(self, FOLDED)

    def clean_received_at(self) -> dt.datetime:
        """The moment of intake, neither in the future nor before the house kept cases."""
        moment: dt.datetime = self.cleaned_data["received_at"]
        if moment.year < EARLIEST_YEAR:
            raise forms.ValidationError(_("This lies too far back. Check the year."))
        if moment > timezone.now() + dt.timedelta(minutes=5):
            raise forms.ValidationError(
                _("The instrument cannot have been received in the future.")
            )
        return moment

    def clean(self) -> dict[str, Any]:
        """Refuse days before the intake, and a leave of which nobody says who gave it."""
        cleaned: dict[str, Any] = super().clean() or {}
        received = cleaned.get("received_at")
        for name in ("promised_on", "review_on"):
            day = cleaned.get(name)
            if received and day and day < timezone.localtime(received).date():
                self.add_error(name, _("This day lies before the day of intake. Check the year."))
        decided = any(cleaned.get(name, Case.Leave.ASK) != Case.Leave.ASK for name in LEAVES)
        if decided and not cleaned.get("leave_decided_by"):
            self.add_error("leave_decided_by", _("Say who decided what may be done with it."))
        if not decided and "leave_decided_by" in cleaned:
            cleaned["leave_decided_by"] = ""  # nobody decided: the name was only offered
        return cleaned


# How the names of their fields begin on the page of the case, which is one form.
WAITS, LIES = "waits", "lies"


class WaitForm(forms.Form):
    """What the case waits for, typed on its page; nothing chosen means that it goes on."""

    waits_for = forms.ChoiceField(
        label=_("waits for"),
        required=False,
        choices=[("", _("nothing: it goes on")), *Case.WaitsFor.choices],
    )
    note = forms.CharField(label=_("note"), required=False, max_length=200)


class PlaceForm(forms.Form):
    """Where the instrument lies in the shop: a shelf, a hook, a cabinet."""

    place = forms.CharField(label=_("place in the shop"), max_length=80)
