"""Forms of looking over: the judgement of the whole, and part by part."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from repairs.cases.access import people_who_may
from repairs.cases.models import Case
from repairs.findings.hazards import hazards_of
from repairs.findings.look_models import Examination, PartLook
from repairs.findings.rest import Side, side_of
from repairs.instruments.hazard_models import HazardNoted
from repairs.instruments.part_models import Part
from repairs.instruments.scales import scale_choices
from repairs.language.text import decimal_words
from repairs.screens.entries import BoundGroup, Entry, Group, bound_groups
from repairs.screens.fields import RH_UNIT, DayInput, QuantityField


def _group(*fields: str) -> Group:
    return Group("", tuple(Entry(name) for name in fields))


FOLDED = {
    "hazards": _group("hazards", "hazards_note"),
    "advice": _group(
        *("advice", "handling", "transport", "light", "proposal", "alternatives", "risk"),
        *("reversibility", "next_check_on", "no_photo_reason"),
    ),
    "how": _group(
        *("examiner", "examined_on", "place", "room_t_c", "room_rh_pct", "rh_history", "methods")
    ),
}


class ExaminationForm(forms.ModelForm):
    """The judgement of the whole, with the air of the room in which it was made."""

    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)
    room_t_c = QuantityField(
        label=_("room temperature"), unit="°C", least="-10", most="50", places=1
    )
    room_rh_pct = QuantityField(
        label=_("room humidity"), unit=RH_UNIT, least="0", most="100", places=1
    )

    JUDGED = (
        "overall_grade",
        "overall_state",
        "urgency",
        "playable_state",
        "methods",
        "advice",
        "proposal",
        "previous_repairs",
        "alterations",
        "hazards",
        "hazards_note",
        "no_photo_reason",
    )

    class Meta:
        model = Examination
        fields = [
            "examiner",
            "examined_on",
            "place",
            "methods",
            "room_t_c",
            "room_rh_pct",
            "rh_history",
            "overall_grade",
            "overall_state",
            "urgency",
            "playable_state",
            "played_by",
            "hazards",
            "hazards_note",
            "previous_repairs",
            "alterations",
            "advice",
            "handling",
            "transport",
            "light",
            "proposal",
            "alternatives",
            "risk",
            "reversibility",
            "next_check_on",
            "no_photo_reason",
        ]
        widgets = {
            **{
                name: forms.Textarea(attrs={"rows": 3, "dir": "auto"})
                for name in ("overall_state", "previous_repairs", "advice", "proposal")
            },
            **{
                name: forms.Textarea(attrs={"rows": 2, "dir": "auto"})
                for name in (
                    "methods",
                    "playable_state",
                    "hazards_note",
                    "alterations",
                    "handling",
                    "transport",
                    "alternatives",
                    "risk",
                    "reversibility",
                )
            },
            "examined_on": DayInput(),
            "next_check_on": DayInput(),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, scale in (("overall_grade", "overall_grade"), ("urgency", "urgency")):
            self.fields[name] = forms.ChoiceField(
                label=self.fields[name].label,
                required=False,
                choices=[("", _("not judged yet")), *scale_choices(scale)],
            )
        self.fields["examiner"].queryset = people_who_may(  # type: ignore[attr-defined]
            "record", also=self.instance.examiner_id
        )
        self.fields["hazards"] = forms.MultipleChoiceField(
            label=_("hazards"),
            required=False,
            choices=scale_choices("hazards"),
            widget=forms.CheckboxSelectMultiple,
            help_text=_("Local rules and a licensed practice decide on tests and treatment."),
        )
        self.fields["hazard_evidence"] = forms.ChoiceField(
            label=_("how the newly ticked are known"),
            required=False,
            choices=HazardNoted.Evidence.choices,
            initial=HazardNoted.Evidence.SUSPECTED,
        )
        case = self.instance.case
        self.initial["hazards"] = hazards_of(case, self.instance)
        self.initial["seen"] = self.instance.revision

    @property
    def groups(self) -> dict[str, BoundGroup]:
        """What is folded until it matters, by key, each with the line that it says."""
        return dict(zip(FOLDED, bound_groups(self, FOLDED.values()), strict=True))

    @property
    def evidence(self) -> str:
        """On what the newly ticked hazards are known; nothing said is a suspicion, no more."""
        return self.cleaned_data["hazard_evidence"] or HazardNoted.Evidence.SUSPECTED

    def saved_otherwise(self, theirs: Examination) -> list[tuple[Any, str]]:
        """Label and value of each field that somebody else saved as something else than this."""
        typed = self.cleaned_data
        return [
            (field.label, _shown(field, getattr(theirs, name)))
            for name, field in self.fields.items()
            if name not in ("seen", "hazard_evidence") and getattr(theirs, name) != typed.get(name)
        ]

    def clean(self) -> dict[str, Any]:
        """Refuse days out of order with intake and today, and a judgement that says nothing."""
        cleaned: dict[str, Any] = super().clean() or {}
        examined, after = cleaned.get("examined_on"), cleaned.get("next_check_on")
        if examined and examined > timezone.localdate():
            self.add_error("examined_on", _("An examination cannot lie in the future."))
        received = timezone.localtime(self.instance.case.received_at).date()
        if examined and examined < received:
            self.add_error("examined_on", _("This lies before the intake. Check the year."))
        if examined and after and after <= examined:
            self.add_error("next_check_on", _("The next check must lie after the examination."))
        if not self.errors and not any(cleaned.get(name) for name in self.JUDGED):
            raise forms.ValidationError(
                _("Nothing is judged yet: say at least the overall state, or what was tried.")
            )
        return cleaned


def _shown(field: forms.Field, value: Any) -> str:
    """A saved value as a person reads it: the words of a choice, a day in the house's order."""
    if isinstance(value, dt.date):
        return date_format(value)
    if isinstance(field, forms.ChoiceField) and not isinstance(field, forms.ModelChoiceField):
        choices: Any = field.choices
        words = {str(key): str(label) for key, label in choices}
        keys = value if isinstance(value, list) else [value] if value else []
        return ", ".join(words.get(str(key), str(key)) for key in keys)
    if isinstance(value, Decimal):
        return decimal_words(value)
    return "" if value is None else str(value)


class LooksForm(forms.Form):
    """All parts in one table: looked at, could not be examined (why), or not said."""

    STATES = [("", _("not said")), *PartLook.State.choices]
    inside_why = forms.CharField(
        label=_("why the inside was not examined"), max_length=200, required=False
    )

    def __init__(self, *args: Any, case: Case, parts: list[Part], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.parts = parts
        known = {look.part_id: look for look in case.looks.all()}
        for part in parts:
            look = known.get(part.pk)
            self.fields[f"state_{part.pk}"] = forms.ChoiceField(
                label=part.label(),
                choices=self.STATES,
                required=False,
                initial=look.state if look else "",
            )
            self.fields[f"why_{part.pk}"] = forms.CharField(
                label=_("why not: %(part)s") % {"part": part.label()},
                max_length=200,
                required=False,
                initial=look.why if look else "",
            )

    def rows(self) -> list[tuple[Part, forms.BoundField, forms.BoundField]]:
        """Each part with its two fields, as the table shows them."""
        return [(p, self[f"state_{p.pk}"], self[f"why_{p.pk}"]) for p in self.parts]

    def clean(self) -> dict[str, Any]:
        """Ask why for each part that could not be examined."""
        cleaned: dict[str, Any] = super().clean() or {}
        if self.data.get("rest") == "inside_unseen" and not cleaned.get("inside_why"):
            self.add_error("inside_why", _("Say why the inside was not examined."))
        for part in self.parts:
            state = cleaned.get(f"state_{part.pk}")
            if state == PartLook.State.NOT_EXAMINED and not cleaned.get(f"why_{part.pk}"):
                self.add_error(
                    f"why_{part.pk}",
                    _("Say why “%(part)s” could not be examined.") % {"part": part.label()},
                )
        return cleaned

    def looks(
        self, *, examined: Collection[Side] = (), inside_unseen: bool = False
    ) -> dict[int, tuple[str, str]]:
        """State and reason by part.

        Parts left open count as looked at on the sides that were ``examined``; those inside as not
        examined, for the reason typed, when the inside was not seen.
        """
        said = self.cleaned_data
        found = {}
        for part in self.parts:
            state, why = said[f"state_{part.pk}"], said[f"why_{part.pk}"]
            side = side_of(part)
            if not state and side in examined:
                state = PartLook.State.LOOKED
            elif not state and inside_unseen and side == "inside":
                state, why = PartLook.State.NOT_EXAMINED, said["inside_why"]
            found[part.pk] = (str(state), why)
        return found
