"""What is typed of things: materials, parts taken out and put in, prescriptions followed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from repairs.cases.models import Case
from repairs.findings.forms import IndentedPartField
from repairs.instruments.consumables import consumables_words
from repairs.instruments.kinds import materials
from repairs.instruments.part_models import Part
from repairs.language.text import in_language
from repairs.procedures.procedure import Procedure
from repairs.readings.models import Prescription
from repairs.screens.fields import QuantityField
from repairs.treatment.outcome_models import MoveDone
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from repairs.treatment.parts import is_consumable_part
from repairs.wood.models import Piece, Withdrawal

# How the names of their fields begin on the page of a work, which is one form.
MATERIAL, REMOVED = "material", "removed"


FOLLOWED_PLACES = 4


MOST_WORDS = 300  # that the row of a removed piece takes


ROOM_BETWEEN = 40  # for what joins the words and the reason


class MaterialForm(forms.ModelForm):
    """A material used: glue with its temperature and lot, strings, varnish."""

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
        usual = procedure.materials
        if self.instance.intervention_id:
            usual = procedure.materials_for(self.instance.intervention.case.instrument.pattern)
        self.usual = [in_language(words) for words in usual]
        self.fields["name"].widget.attrs["list"] = "usual-materials"
        if "glue_temperature" not in procedure.asks:
            self.fields["glue_t_c"].help_text = _("Only where a warm glue was used.")


class RemovedPartForm(forms.ModelForm):
    """A part taken off: where it sat, and on which photo it can be seen."""

    class Meta:
        model = RemovedPart
        fields = ["part", "description", "position", "is_consumable", "photo"]

    def __init__(self, *args: Any, case: Case, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        parts = Part.objects.filter(instrument=case.instrument_id).select_related("instrument")
        self.fields["part"] = IndentedPartField(
            label=_("part"), queryset=parts, required=False, empty_label=_("none of the list")
        )
        self.sorts = consumables_words(case.instrument.pattern)
        self.fields["is_consumable"].label = self.sorts
        self.fields["photo"].queryset = case.photos.ready().select_related("case__instrument")  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Only what wears out may count as used up: all else is kept."""
        cleaned: dict[str, Any] = super().clean() or {}
        part = cleaned.get("part")
        if cleaned.get("is_consumable") and not is_consumable_part(part):
            self.add_error(
                "is_consumable",
                _("“%(part)s” is none of these: %(what)s.") % {"part": part, "what": self.sorts},
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
        """Refuse words and reason that do not fit together into the row."""
        cleaned: dict[str, Any] = super().clean() or {}
        because = cleaned.setdefault("because", "")
        if because and len(cleaned.get("words", "")) + len(because) > MOST_WORDS - ROOM_BETWEEN:
            self.add_error("because", _("Together with the words above this is too long."))
        return cleaned


def material_choices() -> list[tuple[str, str]]:
    """Keys and labels of the materials."""
    return [(key, in_language(row["label"])) for key, row in materials().items()]


class PieceField(forms.ModelChoiceField):
    """A piece of the store to take wood from."""

    def label_from_instance(self, piece: Piece) -> str:
        """Number, wood, and what is left of it."""
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
        """Ask for piece and sizes when the wood comes out of our store."""
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


def followed(told: Prescription) -> str:
    """How the names of the fields of one prescription begin."""
    return f"follow-{told.pk}"


class FollowForm(forms.ModelForm):
    """What was really done of an advised amount, in its unit."""

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
        self.fields["amount"].widget.attrs["data-unit"] = told.unit

    def clean_amount(self) -> float:
        """The amount as a number for reckoning."""
        return float(self.cleaned_data["amount"])
