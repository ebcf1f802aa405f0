from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from repairs.cases.access import people_who_may
from repairs.cases.models import Case
from repairs.findings.forms import IndentedPartField
from repairs.findings.models import Finding
from repairs.instruments.kinds import materials
from repairs.instruments.models import Part
from repairs.language.text import in_language
from repairs.procedures.procedure import Procedure
from repairs.procedures.versions import procedures_for
from repairs.screens.fields import RH_UNIT, LocalMomentInput, QuantityField
from repairs.screens.minutes import MinutesField
from repairs.treatment.models import MOST_MINUTES, Intervention, MoveDone, StepNote, WorkSpell
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from repairs.treatment.parts import is_consumable_part
from repairs.treatment.proof import Held
from repairs.wood.models import Piece, Withdrawal

FOLLOWED_PLACES = 4
MOST_WORDS = 300  # that the row of a removed piece takes
ROOM_BETWEEN = 40  # for what joins the words and the reason


class FindingsField(forms.ModelMultipleChoiceField):
    """Findings of a case as ticks, by number and term."""

    def label_from_instance(self, finding: Any) -> str:
        return str(finding)


def minutes_field() -> MinutesField:
    return MinutesField(label=_("minutes really worked"), least=1, most=MOST_MINUTES, required=True)


def climate_fields() -> tuple[QuantityField, QuantityField]:
    return (
        QuantityField(label=_("room temperature"), unit="°C", least="-10", most="50", places=1),
        QuantityField(label=_("room humidity"), unit=RH_UNIT, least="0", most="100", places=1),
    )


class DescribeForm(forms.ModelForm):
    room_t_c, room_rh_pct = climate_fields()

    class Meta:
        model = Intervention
        fields = ["words", "room_t_c", "room_rh_pct"]
        widgets = {"words": forms.Textarea(attrs={"rows": 4, "dir": "auto"})}


class StepsForm(forms.Form):
    """All steps of the procedure: done as written, done otherwise, left out, and what happened."""

    def __init__(
        self, *args: Any, procedure: Procedure, notes: Mapping[str, StepNote], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.steps = procedure.steps
        for step in self.steps:
            note = notes.get(step.key)
            self.fields[f"state_{step.key}"] = forms.ChoiceField(
                label=str(step),
                required=False,
                choices=[("", _("not yet")), *StepNote.State.choices[:3]],
                initial=note.state if note and note.state != StepNote.State.OPEN else "",
            )
            self.fields[f"words_{step.key}"] = forms.CharField(
                label=_("what really happened: %(step)s") % {"step": step},
                required=False,
                max_length=500,
                initial=note.words if note else "",
                widget=forms.TextInput(
                    attrs={"placeholder": _("what really happened"), "dir": "auto"}
                ),
            )

    def rows(self) -> list[tuple[Any, forms.BoundField, forms.BoundField]]:
        return [(one, self[f"state_{one.key}"], self[f"words_{one.key}"]) for one in self.steps]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        for step in self.steps:
            state, words = cleaned.get(f"state_{step.key}"), cleaned.get(f"words_{step.key}")
            if state in (StepNote.State.OTHERWISE, StepNote.State.LEFT_OUT) and not words:
                self.add_error(
                    f"words_{step.key}",
                    _("Say what really happened at “%(step)s”.") % {"step": step},
                )
        return cleaned

    def notes(self, *, rest_done: bool = False) -> list[StepNote]:
        """A row for each step; with ``rest_done`` those left open were done as written."""
        usual = StepNote.State.DONE if rest_done else StepNote.State.OPEN
        said = self.cleaned_data
        return [
            StepNote(
                step=one.key,
                state=said[f"state_{one.key}"] or usual,
                words=said[f"words_{one.key}"],
            )
            for one in self.steps
        ]


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


class MaterialForm(forms.ModelForm):
    amount = QuantityField(label=_("amount"), unit="", least="0", most="99999")
    glue_t_c = QuantityField(
        label=_("temperature of the glue"), unit="°C", least="0", most="200", places=1
    )
    price = QuantityField(
        label=_("price to charge"),
        unit="",
        least="0",
        most="999999",
        help_text=_("Of the whole amount, before tax; empty when it is not charged apart."),
    )

    class Meta:
        model = MaterialUse
        fields = ["name", "lot", "amount", "unit", "glue_t_c", "price"]

    def __init__(self, *args: Any, procedure: Procedure, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.usual = [in_language(words) for words in procedure.materials]
        self.fields["name"].widget.attrs["list"] = "usual-materials"
        if "glue_temperature" not in procedure.asks:
            self.fields["glue_t_c"].help_text = _("Only where a warm glue was used.")


class RemovedPartForm(forms.ModelForm):
    class Meta:
        model = RemovedPart
        fields = ["part", "description", "position", "is_consumable", "photo"]

    def __init__(self, *args: Any, case: Case, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        parts = Part.objects.filter(instrument=case.instrument_id).select_related("instrument")
        self.fields["part"] = IndentedPartField(
            label=_("part"), queryset=parts, required=False, empty_label=_("none of the list")
        )
        self.fields["photo"].queryset = case.photos.ready().select_related("case__instrument")  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        part = cleaned.get("part")
        if cleaned.get("is_consumable") and not is_consumable_part(part):
            self.add_error(
                "is_consumable",
                _("“%(part)s” is neither a string nor cotton nor rosin.") % {"part": part},
            )
        return cleaned


class FateForm(forms.Form):
    """What became of a piece. ``is_told``: a paper that the owner has says it already."""

    fate = forms.ChoiceField(label=_("what became of it"), choices=RemovedPart.Fate.choices)
    words = forms.CharField(
        label=_("who agreed, when; or where it lies"), required=False, max_length=MOST_WORDS
    )
    because = forms.CharField(
        label=_("why this differs from the issued paper"), required=False, max_length=120
    )

    def __init__(self, *args: Any, is_told: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not is_told:
            del self.fields["because"]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        because = cleaned.setdefault("because", "")
        if because and len(cleaned.get("words", "")) + len(because) > MOST_WORDS - ROOM_BETWEEN:
            self.add_error("because", _("Together with the words above this is too long."))
        return cleaned


def material_choices() -> list[tuple[str, str]]:
    return [(key, in_language(row["label"])) for key, row in materials().items()]


class PieceField(forms.ModelChoiceField):
    def label_from_instance(self, piece: Any) -> str:
        return f"{piece.number} · {piece.material_label} · {piece.left_words}"


class NewPartForm(forms.ModelForm):
    """A part put in; out of the wood store it names the piece and the sizes cut from it."""

    length_mm = QuantityField(label=_("length cut"), unit="mm", least="0.1", most="4999")
    width_mm = QuantityField(label=_("width cut"), unit="mm", least="0.1", most="4999")
    thickness_mm = QuantityField(label=_("thickness cut"), unit="mm", least="0.1", most="4999")

    class Meta:
        model = NewPart
        fields = ["part", "description", "origin", "material", "supplier", "marking"]

    SIZES = ("length_mm", "width_mm", "thickness_mm")

    def __init__(self, *args: Any, case: Case, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        parts = Part.objects.filter(instrument=case.instrument_id).select_related("instrument")
        self.fields["part"] = IndentedPartField(
            label=_("part"), queryset=parts, required=False, empty_label=_("none of the list")
        )
        self.fields["material"] = forms.ChoiceField(
            label=_("material"),
            required=False,
            choices=[("", _("choose")), *material_choices()],
            help_text=_("Of a piece of the store it is known."),
        )
        self.fields["piece"] = PieceField(
            label=_("piece of the wood store"),
            required=False,
            queryset=Piece.objects.in_store(),
            empty_label=_("not from the store"),
        )

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("origin") == NewPart.Origin.WOOD_STORE:
            for name in ("piece", *self.SIZES):
                if not cleaned.get(name) and name not in self.errors:
                    self.add_error(name, _("Needed for a part out of the wood store."))
            return cleaned
        if cleaned.get("piece"):
            self.add_error(
                "piece",
                _(
                    "A piece of the store is chosen, and the part is said to come from elsewhere. "
                    "Choose “the wood store” as its origin, or no piece."
                ),
            )
        if not cleaned.get("material") and "material" not in self.errors:
            self.add_error("material", _("Say of what material it is."))
        return cleaned

    def withdrawal(self) -> Withdrawal | None:
        """What is to be cut from the store; None when the part comes from elsewhere."""
        said = self.cleaned_data
        if said["origin"] != NewPart.Origin.WOOD_STORE:
            return None
        return Withdrawal(piece=said["piece"], **{name: said[name] for name in self.SIZES})


class FollowForm(forms.ModelForm):
    amount = QuantityField(
        label=pgettext_lazy("amount", "done"),
        unit="",
        least="-999",
        most="999",
        places=FOLLOWED_PLACES,
        required=True,
    )

    class Meta:
        model = MoveDone
        fields = ["amount"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        told = self.instance.prescription
        known = told.amount if self.instance.amount is None else self.instance.amount
        if known is not None:
            self.initial["amount"] = Decimal(str(round(known, FOLLOWED_PLACES)))
        self.auto_id = f"id_follow_{told.pk}_%s"  # one page has a form for each prescription
        self.fields["amount"].widget.attrs["data-unit"] = told.unit

    def clean_amount(self) -> float:
        return float(self.cleaned_data["amount"])


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
        return {one.key: self.cleaned_data[f"reason_{one.key}"] for one in self.asked}

    def rows(self) -> list[tuple[Held, forms.BoundField]]:
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
    because = forms.CharField(label=_("because"), max_length=300)
