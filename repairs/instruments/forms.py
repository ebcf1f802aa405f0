"""Forms of the register: an instrument with the sizes of its kind, and the table of its parts."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator
from django.utils.translation import gettext_lazy as _

from repairs.instruments.dating import read_years
from repairs.instruments.entries import GROUPS, SIZES
from repairs.instruments.kinds import kind_of, kinds
from repairs.instruments.models import Instrument
from repairs.instruments.pattern import Kind
from repairs.language.text import in_language
from repairs.screens.entries import (
    BoundGroup,
    Entry,
    Group,
    bound_groups,
    names,
    text_boxes,
)
from repairs.screens.fields import QuantityField, millimetres

KEYED = ("keyed",)
MOST_KEYS, MOST_MASS_G = 200, 500_000


class NamedInstrumentForm(forms.ModelForm):
    """What an instrument is known by. One alike is offered before a second is entered."""

    really_new = forms.BooleanField(
        label=_("This is another instrument: enter it all the same"), required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(slug, in_language(kind.label)) for slug, kind in kinds().items()]
        self.fields["kind"] = forms.ChoiceField(
            label=_("kind"), choices=choices, disabled=self.instance.pk is not None
        )
        self.fields["declared_value"] = QuantityField(
            label=_("value declared by the owner"),
            unit=self.instance.currency,
            least="0",
            most="99999999",
        )
        self.alike: list[Instrument] = []

    def clean_date_text(self) -> str:
        """The date as the maker or the label has it; its years are read for searching."""
        words = str(self.cleaned_data["date_text"])
        years = read_years(words)
        self.instance.year_first = years.first if years else None
        self.instance.year_last = years.last if years else None
        return words

    def clean(self) -> dict[str, Any]:
        """Warn of an instrument that may be here already, before a second one is entered."""
        cleaned: dict[str, Any] = super().clean() or {}
        probe = Instrument(
            pk=self.instance.pk,
            owner_id=self.instance.owner_id,
            kind=cleaned.get("kind", ""),
            maker=cleaned.get("maker", ""),
            serial=cleaned.get("serial", ""),
        )
        self.alike = list(Instrument.objects.alike(probe).select_related("owner")[:5])
        if self.alike and self.instance.pk is None and not cleaned.get("really_new"):
            self.add_error(
                "really_new",
                _("An instrument alike is already known. Use that entry, or tick here to go on."),
            )
        return cleaned


class CounterInstrumentForm(NamedInstrumentForm):
    """As much of an instrument as its receipt needs; the rest is asked on its own page."""

    class Meta:
        model = Instrument
        fields = ["kind", "maker", "date_text", "declared_value"]
        help_texts = {"date_text": _("1771, c. 1720")}


class InstrumentForm(NamedInstrumentForm):
    """All that is known of an instrument, with the sizes of its kind."""

    class Meta:
        model = Instrument
        fields = ["kind", *names(GROUPS)]
        widgets = text_boxes(GROUPS)
        error_messages = {
            "label_text": {
                "max_length": _(
                    "The label has %(show_value)d characters and %(limit_value)d fit. Keep the "
                    "words of the label here and put the rest under marks or history."
                )
            }
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["mass_g"].help_text = ""
        self.fields["mass_g"].widget = forms.TextInput(
            attrs={"inputmode": "numeric", "data-unit": "g"}
        )
        self.fields["mass_g"].validators.append(MaxValueValidator(MOST_MASS_G))
        self.fields["key_count"].validators.append(MaxValueValidator(MOST_KEYS))
        if not self._kind().fits(KEYED) and self.instance.key_count is None:
            del self.fields["key_count"]
        self.dimension_keys = self._add_dimensions()

    def _kind(self) -> Kind:
        slug = self.data.get("kind") or self.initial.get("kind") or self.instance.kind
        return kind_of(str(slug))

    def _add_dimensions(self) -> list[str]:
        """One field for each size that the kind foresees; known ones are filled in."""
        known = {}
        if self.instance.pk:
            known = dict(self.instance.dimensions.values_list("key", "value_mm"))
        for row in self._kind().dimensions:
            if row.unit == "mm":
                self.fields[f"size_{row.key}"] = millimetres(
                    in_language(row.label), initial=known.get(row.key)
                )
        return [name for name in self.fields if name.startswith("size_")]

    @property
    def groups(self) -> list[BoundGroup]:
        """Its fields in their groups; the sizes of the kind stand before the mass."""
        sizes = tuple(Entry(name) for name in self.dimension_keys)
        groups = [
            Group(group.title, sizes + group.entries) if group is SIZES else group
            for group in GROUPS
        ]
        return bound_groups(self, groups)

    @property
    def dimensions(self) -> dict[str, Decimal]:
        """The sizes that were given, by the kind's key, in millimetres."""
        given = {name: self.cleaned_data.get(name) for name in self.dimension_keys}
        return {name.removeprefix("size_"): value for name, value in given.items() if value}
