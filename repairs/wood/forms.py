from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.gauges.base.errors import GaugeInputError
from repairs.instruments.kinds import materials
from repairs.language.text import folded, in_language
from repairs.screens.fields import DayInput, LeanSelect, PitchField, QuantityField, millimetres
from repairs.wood.models import Piece, PieceQuerySet, Withdrawal
from repairs.wood.tested_models import WoodTest
from repairs.wood.words import refusal_words

GROUPS = ("wood", "ivory_bone", "shell")  # of the materials that lie in the store
SIZES = ("length_mm", "width_mm", "thickness_mm")
EARLIEST_FELLING = 1000
# Where the form asks for what a gauge refuses under another name.
ASKED_AS = {"f_hz": "tap_f_hz", "e_gpa": "tap_f_hz", "density_kg_m3": "mass_g"}


def material_choices() -> list[tuple[str, str]]:
    """The materials of the store by their names in the language in force."""
    rows = [row for row in materials().values() if row["group"] in GROUPS]
    return sorted(((row["key"], in_language(row["label"])) for row in rows), key=_by_name)


def _by_name(choice: tuple[str, str]) -> str:
    return folded(choice[1])


class SeekForm(forms.Form):
    """What the list is narrowed to; anything it does not know is passed over."""

    q = forms.CharField(label=_("number, species, place or note"), required=False)
    material = forms.ChoiceField(label=_("species or material"), required=False)
    form = forms.ChoiceField(
        label=_("form"), required=False, choices=[("", _("any form")), *Piece.Form.choices]
    )
    state = forms.ChoiceField(
        label=_("state"),
        required=False,
        choices=[("", _("still there")), ("used_up", _("used up")), ("all", _("all, used up too"))],
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["material"]
        field.choices = [("", _("any species or material")), *material_choices()]

    def found(self) -> PieceQuerySet:
        """The pieces that fit; those used up only when asked for."""
        self.is_valid()
        said = self.cleaned_data
        states = {"used_up": Piece.objects.used_up, "all": Piece.objects.with_left}
        pieces: PieceQuerySet = states.get(said.get("state", ""), Piece.objects.in_store)()
        kept = {name: said[name] for name in ("material", "form") if said.get(name)}
        return pieces.matching(said.get("q", "").replace("\0", "")).filter(**kept)

    @property
    def is_narrowed(self) -> bool:
        """Whether anything was asked."""
        return any(self.cleaned_data.values())


class SizedForm(forms.ModelForm):
    """Sizes in millimetres, all three wanted."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in SIZES:
            label = self._meta.model._meta.get_field(name).verbose_name
            self.fields[name] = millimetres(label, required=True)


class PieceForm(SizedForm):
    """A piece of wood, bone or horn: what it is, how that is known, where it came from."""

    class Meta:
        model = Piece
        fields = [
            "material",
            "identified_by",
            "form",
            "cut",
            *SIZES,
            "place",
            "felled_year",
            "acquired_on",
            "acquired_from",
            "acquisition_proof",
            "permit_number",
            "permit_issued_on",
            "permit_expires_on",
            "note",
        ]
        widgets = {
            "acquired_on": DayInput(),
            "permit_issued_on": DayInput(),
            "permit_expires_on": DayInput(),
            "felled_year": forms.TextInput(attrs={"inputmode": "numeric"}),
            "acquisition_proof": forms.Textarea(attrs={"rows": 2, "dir": "auto"}),
            "note": forms.Textarea(attrs={"rows": 2, "dir": "auto"}),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [("", _("choose")), *material_choices()]
        if self.instance.material and self.instance.material not in dict(choices):
            choices.append((self.instance.material, self.instance.material))
        self.fields["material"] = forms.ChoiceField(
            label=_("species or material"), choices=choices, widget=LeanSelect
        )

    def clean_felled_year(self) -> int | None:
        """A year in which a tree of this store can have been felled."""
        year: int | None = self.cleaned_data["felled_year"]
        if year is not None and not EARLIEST_FELLING <= year <= timezone.localdate().year:
            raise forms.ValidationError(_("No tree of this year can lie here. Check the year."))
        return year

    def clean_acquired_on(self) -> dt.date | None:
        """The day it was acquired, not to come."""
        return not_to_come(self.cleaned_data["acquired_on"])

    def clean_permit_issued_on(self) -> dt.date | None:
        """The day of its permit, not to come."""
        return not_to_come(self.cleaned_data["permit_issued_on"])

    def clean(self) -> dict[str, Any]:
        """Refuse a permit that ends before it begins."""
        cleaned: dict[str, Any] = super().clean() or {}
        first, last = cleaned.get("permit_issued_on"), cleaned.get("permit_expires_on")
        if first and last and last < first:
            self.add_error("permit_expires_on", _("It would expire before it was issued."))
        return cleaned


def not_to_come(day: dt.date | None) -> dt.date | None:
    """The day itself. Raises ValidationError when it is still to come."""
    if day is not None and day > timezone.localdate():
        raise forms.ValidationError(_("This day is still to come. Check the year."))
    return day


class OffcutForm(SizedForm):
    """What is left, as a piece of its own; species and papers come from the parent."""

    class Meta:
        model = Piece
        fields = [*SIZES, "cut", "place", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 2, "dir": "auto"})}


class WoodTestForm(SizedForm):
    """A block weighed, measured and tapped: mass in g, moisture in %, notes in Hz."""

    mass_g = QuantityField(label=_("mass"), unit="g", least="0.01", most="50000", required=True)
    mc_pct = QuantityField(
        label=_("moisture"),
        unit="%",
        least="0",
        most="200",
        places=1,
        help_text=_("As the meter shows it when the strip is weighed."),
    )
    ring_mm = QuantityField(
        label=_("ring width"),
        unit="mm",
        least="0.05",
        most="50",
        help_text=_("Mean of ten rings or more."),
    )
    tap_f_hz = PitchField(
        label=_("tap tone"),
        least="1",
        most="20000",
        help_text=_(
            "The lowest tone of the strip, held a little less than a quarter of its length (22 %) "
            "from each end and tapped in the middle. In Hz or as a note: A4, la3 and a′ are "
            "440 Hz (ISO 16), the others in equal temperament."
        ),
    )

    class Meta:
        model = WoodTest
        fields = ["taken_on", *SIZES, "mass_g", "mc_pct", "ring_mm", "tap_f_hz"]
        widgets = {"taken_on": DayInput()}

    def clean_taken_on(self) -> dt.date | None:
        """The day of the test, not to come."""
        return not_to_come(self.cleaned_data["taken_on"])

    def refuse(self, refusal: GaugeInputError) -> None:
        """Say at the field what the gauge refused."""
        name = ASKED_AS.get(refusal.field, refusal.field)
        self.add_error(name if name in self.fields else None, refusal_words(refusal))


class TakeForm(SizedForm):
    """Wood taken off a piece: its sizes in mm, for what, and for which case."""

    class Meta:
        model = Withdrawal
        fields = [*SIZES, "purpose", "case_number"]
        help_texts = {
            "purpose": _("Cleats for the soundboard, a new key, a splint; or waste."),
            "case_number": _("Such as 2026-014; empty when it is for none."),
        }

    def clean_case_number(self) -> str:
        """The number of a case that is here; empty for a jig or a trial."""
        number = str(self.cleaned_data["case_number"]).strip()
        case = Case.objects.filter(number=number).only("number").first()
        if number and case is None:
            raise forms.ValidationError(
                _("No case %(number)s is known. Give its number as it stands on its page."),
                params={"number": number},
            )
        self.instance.subject = case.log_key if case else ""
        return number
