"""A field of the estimate's page with its place, for the list of what is wrong."""

from __future__ import annotations

from dataclasses import dataclass

from django.forms import BoundField
from django.forms.utils import ErrorList


@dataclass(frozen=True)
class PlacedField:
    """A field as the list of problems names it: with the option and the line that it stands in."""

    field: BoundField
    place: str = ""

    @property
    def label(self) -> str:
        """The label, with the place of its row before it."""
        return f"{self.place} · {self.field.label}" if self.place else str(self.field.label)

    @property
    def errors(self) -> ErrorList:
        """What is wrong with what was typed here."""
        return self.field.errors

    @property
    def id_for_label(self) -> str:
        """The id that a label or a jump from the list of faults points to."""
        return self.field.id_for_label

    @property
    def auto_id(self) -> str:
        """The id of the field, unique on the page."""
        return str(self.field.auto_id)
