"""The form before the first minute: which findings are answered, which parts are worked on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundWidget
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from repairs.instruments.part_models import Part
from repairs.treatment.forms import FindingsField, climate_fields
from repairs.treatment.models import Intervention


class PartsField(forms.ModelMultipleChoiceField):
    """Parts to choose from, old ones told from new."""

    def label_from_instance(self, part: Part) -> str:
        """The part with its originality: whoever begins must know what is old."""
        return f"{part.label()} ({part.originality_label})"


@dataclass(frozen=True)
class PartGroup:
    """Parts that belong together, to be opened and ticked."""

    label: str | Promise
    ticks: list[BoundWidget]

    @property
    def chosen(self) -> int:
        """How many of the group are ticked."""
        return sum(1 for tick in self.ticks if tick.data["selected"])


class BeginForm(forms.ModelForm):
    """Which findings are answered and which parts are worked on, before the first minute."""

    room_t_c, room_rh_pct = climate_fields()

    class Meta:
        model = Intervention
        fields = ["room_t_c", "room_rh_pct"]

    def __init__(self, *args: Any, findings: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        work = self.instance
        self.fields["findings"] = FindingsField(
            label=_("findings that this work answers"),
            queryset=findings,
            required=False,
            widget=forms.CheckboxSelectMultiple,
        )
        ids = findings.values_list("part_id", flat=True)
        parts = Part.objects.filter(instrument=work.case.instrument_id)
        self.fields["parts"] = PartsField(
            label=_("parts worked on"),
            queryset=parts.select_related("instrument"),
            required=False,
            widget=forms.CheckboxSelectMultiple,
        )
        if not self.is_bound:
            self.initial["findings"] = list(findings)
            self.initial["parts"] = list(ids)

    def part_groups(self) -> list[PartGroup]:
        """The ticks of the parts, by the part of the instrument that they belong to."""
        groups: list[PartGroup] = []
        alone = PartGroup(_("single parts"), [])
        for tick in self["parts"].subwidgets:
            part = tick.data["value"].instance
            if part.depth == 0:
                groups.append(PartGroup(part.label(), []))
            (groups[-1] if groups else alone).ticks.append(tick)
        alone.ticks.extend(group.ticks[0] for group in groups if len(group.ticks) == 1)
        several = [group for group in groups if len(group.ticks) > 1]
        return [*several, alone] if alone.ticks else several
