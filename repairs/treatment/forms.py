from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repairs.cases.access import people_who_may
from repairs.cases.models import Case
from repairs.findings.models import Finding
from repairs.procedures.procedure import Step
from repairs.procedures.versions import procedures_for
from repairs.screens.fields import RH_UNIT, LocalMomentInput, QuantityField
from repairs.screens.minutes import MinutesField
from repairs.treatment.held import Held
from repairs.treatment.models import MOST_MINUTES, Intervention, StepNote, WorkSpell

# A phone that lay in a drawer for a year has nothing to say of the work any more.
LONGEST_WAIT_MS = 366 * 24 * 3600 * 1000


class FindingsField(forms.ModelMultipleChoiceField):
    """Findings of a case as ticks, by number and term."""

    def label_from_instance(self, finding: Finding) -> str:
        """The finding in a line."""
        return str(finding)


def minutes_field() -> MinutesField:
    """Minutes of work, at least one, at most a long day's."""
    return MinutesField(label=_("minutes really worked"), least=1, most=MOST_MINUTES, required=True)


def climate_fields() -> tuple[QuantityField, QuantityField]:
    """Temperature in °C and humidity in % RH of the room where the work is done."""
    return (
        QuantityField(label=_("room temperature"), unit="°C", least="-10", most="50", places=1),
        QuantityField(label=_("room humidity"), unit=RH_UNIT, least="0", most="100", places=1),
    )


class DescribeForm(forms.ModelForm):
    """What was done, in the luthier's words, and the air it was done in."""

    room_t_c, room_rh_pct = climate_fields()

    class Meta:
        model = Intervention
        fields = ["words", "room_t_c", "room_rh_pct"]
        widgets = {"words": forms.Textarea(attrs={"rows": 4, "dir": "auto"})}

    @property
    def told_was(self) -> str:
        """What stood in the page when it was opened: what comes back with it was not typed."""
        sent = self.data.get("told_was", "") if self.is_bound else ""
        return sent or _told(self.instance)

    @property
    def was_typed(self) -> bool:
        """Whether something was typed since the page was opened; ask of a valid form."""
        return str(self.data.get("told_was", "")) != _told(self.instance)


def _told(work: Intervention) -> str:
    air = [None if one is None else f"{one:.2f}" for one in (work.room_t_c, work.room_rh_pct)]
    words = work.words.replace("\r\n", "\n").strip()
    return hashlib.sha256(repr((words, air)).encode()).hexdigest()


class TapForm(forms.Form):
    """What a tap says of one step: done as written, done otherwise, left out, open again.

    ``waited_ms`` is how long it was kept on the phone before the network took it, ``who`` whose
    tap it was: another may be signed in there by now.
    """

    state = forms.ChoiceField(choices=StepNote.State.choices)
    words = forms.CharField(label=_("what really happened"), required=False, max_length=500)
    tap = forms.UUIDField(required=False)
    waited_ms = forms.IntegerField(required=False, min_value=0, max_value=LONGEST_WAIT_MS)
    who = forms.IntegerField(required=False)

    def __init__(self, *args: Any, steps: Sequence[Step], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["step"] = forms.ChoiceField(choices=[(one.key, str(one)) for one in steps])
        self.steps = {one.key: one for one in steps}

    def clean(self) -> dict[str, Any]:
        """Ask for words where a step was left out or done otherwise."""
        cleaned: dict[str, Any] = super().clean() or {}
        step = self.steps.get(cleaned.get("step", ""))
        if step and cleaned.get("state") in StepNote.WORDED and not cleaned.get("words"):
            said = _("Say what really happened at “%(step)s”.") % {"step": step}
            self.add_error("words", said)
        return cleaned

    def note(self, at: dt.datetime) -> StepNote:
        """The row that it makes, at the moment of the tap."""
        said = self.cleaned_data
        waited = dt.timedelta(milliseconds=said["waited_ms"] or 0)
        return StepNote(
            step=said["step"],
            state=said["state"],
            words=said["words"],
            tap=said["tap"],
            at=at - waited,
        )


class MinutesForm(forms.ModelForm):
    """Minutes typed later, by the one who worked or for somebody else."""

    minutes = minutes_field()

    class Meta:
        model = WorkSpell
        fields = ["person", "started_at", "minutes", "note"]
        widgets = {"started_at": LocalMomentInput()}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"] = forms.ModelChoiceField(
            label=_("who worked"), queryset=people_who_may("record"), empty_label=None
        )

    def clean(self) -> dict[str, Any]:
        """Refuse minutes before the instrument came, or in the future."""
        cleaned: dict[str, Any] = super().clean() or {}
        start, minutes = cleaned.get("started_at"), cleaned.get("minutes")
        if start and start < self.instance.intervention.case.received_at - dt.timedelta(days=1):
            self.add_error("started_at", _("This lies before the intake. Check the date."))
        elif start and minutes and start + dt.timedelta(minutes=minutes) > timezone.now():
            self.add_error("minutes", _("This would end in the future. Check the time."))
        return cleaned


class StopForm(forms.Form):
    """How long the work really took, when a clock was left on."""

    minutes = minutes_field()


class SignForm(forms.Form):
    """A reason for everything that is not as it must be, and a note."""

    words = forms.CharField(
        label=_("note to the sign-off"),
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2, "dir": "auto"}),
    )

    def __init__(self, *args: Any, held: list[Held], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.asked = [one for one in held if one.asks]
        for one in self.asked:
            self.fields[f"reason_{one.key}"] = forms.CharField(
                label=_("reason: %(what)s") % {"what": one.label}, required=False, max_length=300
            )

    def reasons(self) -> dict[str, str]:
        """The reason given for each point that is not as it should be, by its key."""
        return {one.key: self.cleaned_data[f"reason_{one.key}"] for one in self.asked}

    def rows(self) -> list[tuple[Held, forms.BoundField]]:
        """Each such point with its field."""
        return [(one, self[f"reason_{one.key}"]) for one in self.asked]


class AgreeForm(forms.Form):
    """Work decided by the principal: of the house's own instrument, or in an emergency."""

    procedure = forms.ChoiceField(label=_("procedure"))
    title = forms.CharField(label=_("in a line"), required=False, max_length=200)
    because = forms.CharField(
        label=_("because"),
        required=False,
        max_length=300,
        help_text=_("Needed in an emergency: what would be lost by waiting for the owner."),
    )

    def __init__(self, *args: Any, case: Case, is_house: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = procedures_for(case.instrument.kind)
        fit = [one for one in known if is_house or not one.is_irreversible]
        self.fields["procedure"].choices = [(one.key, str(one)) for one in fit]  # type: ignore[attr-defined]
        self.fields["because"].required = not is_house
        self.fields["findings"] = FindingsField(
            label=_("findings that it answers"),
            queryset=Finding.objects.filter(case=case, withdrawn_at=None).select_related(
                "part__instrument"
            ),
            required=False,
            widget=forms.CheckboxSelectMultiple,
        )


class DropForm(forms.Form):
    """Why an agreed work is given up."""

    because = forms.CharField(label=_("because"), max_length=300)
