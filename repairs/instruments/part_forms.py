"""Forms of the parts of an instrument: a table of them in groups, and one that is added."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from repairs.instruments.kinds import materials
from repairs.instruments.models import Instrument
from repairs.instruments.part_models import Part
from repairs.language.text import in_language
from repairs.screens.fields import LeanSelect


class PartForm(forms.ModelForm):
    """What is seen of one part: material, how it was identified, originality."""

    class Meta:
        model = Part
        fields = ["material", "material_note", "originality"]
        widgets = {"originality": LeanSelect}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(key, in_language(row["label"])) for key, row in materials().items()]
        known = {key for key, _label in choices}
        if self.instance.material and self.instance.material not in known:
            choices.append((self.instance.material, self.instance.material))
        self.fields["material"] = forms.ChoiceField(
            label=_("material"),
            required=False,
            choices=[("", "—"), *choices],
            widget=LeanSelect,
        )


@dataclass(frozen=True)
class PartGroup:
    """The rows of a part and of all that belong to it."""

    rows: tuple[PartForm, ...]

    @property
    def title(self) -> str:
        """The name of the part at their root."""
        return str(self.rows[0].instance.label())

    @property
    def said(self) -> str:
        """How many of them have a material."""
        stated = sum(bool(form["material"].value()) for form in self.rows)
        if not stated:
            return str(_("no material stated yet"))
        words = ngettext("%(count)s with its material", "%(count)s with their material", stated)
        return words % {"count": stated}

    @property
    def is_open(self) -> bool:
        """Whether a row of them is to be mended."""
        return any(form.errors for form in self.rows)


class ListedPartField(forms.CharField):
    """Which part a row is about, told from the rows that are loaded already.

    The field that Django puts here asks the database anew for every row of the table.
    """

    widget = forms.HiddenInput

    def __init__(self, listed: Mapping[str, Part], **kwargs: Any) -> None:
        super().__init__(required=False, **kwargs)
        self.listed = listed

    def clean(self, value: Any) -> Part:
        """The part among those listed; one that was taken away meanwhile is refused."""
        part = self.listed.get(str(value))
        if part is None:
            raise forms.ValidationError(_("This part is not in the list any more."))
        return part

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Never: it names the row and is no part of what is described."""
        return False


class PartTable(forms.BaseModelFormSet):
    """Every part of one instrument, a row each."""

    def add_fields(self, form: forms.ModelForm, index: int | None) -> None:
        """Give each row its part without asking the database once a row."""
        super().add_fields(form, index)
        form.fields["id"] = ListedPartField(self.listed, initial=form.instance.pk)

    @cached_property
    def listed(self) -> Mapping[str, Part]:
        """The parts of the table by their id, read once."""
        return {str(part.pk): part for part in self.get_queryset()}

    @cached_property
    def groups(self) -> list[PartGroup]:
        """The rows by the part at the root of each, in the order of the tree."""
        roots: dict[int | None, list[PartForm]] = {}
        for form in self.forms:
            roots.setdefault(self._root(form.instance).pk, []).append(form)
        known = [rows for rows in roots.values() if rows[0].instance.pk]  # others are no row of it
        return [PartGroup(tuple(rows)) for rows in known]

    def _root(self, part: Part) -> Part:
        while (above := self.listed.get(str(part.parent_id))) is not None:
            part = above
        return part


PartFormSet = forms.modelformset_factory(Part, form=PartForm, formset=PartTable, extra=0)


class NewPartForm(forms.Form):
    """A part that the kind does not foresee."""

    label = forms.CharField(label=_("name of the part"), max_length=80)
    parent = forms.ModelChoiceField(
        label=_("part of"), queryset=Part.objects.none(), required=False
    )

    def __init__(self, *args: Any, instrument: Instrument, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["parent"].queryset = instrument.parts.select_related("instrument")  # type: ignore[attr-defined]
