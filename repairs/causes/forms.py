"""What somebody says it was: causes of the table, or none of them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from repairs.causes.actions import Said
from repairs.causes.models import MOST_WORDS
from repairs.causes.tables import row_of, table_of
from repairs.language.text import in_language

NONE = "none"


class ItWasForm(forms.Form):
    """Ticks and a line of words; ``tap`` and ``known`` say which page it stood on."""

    cause = forms.MultipleChoiceField(label=_("what it was"), required=False)
    none_of_these = forms.BooleanField(label=_("none of these"), required=False)
    words = forms.CharField(
        label=_("in your words"),
        max_length=MOST_WORDS,
        required=False,
        help_text=_("What was found, or what it was instead."),
        widget=forms.TextInput(attrs={"dir": "auto"}),
    )
    tap = forms.UUIDField(widget=forms.HiddenInput)
    known = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=2**62)

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cause"] = forms.MultipleChoiceField(
            label=_("what it was"),
            required=False,
            choices=[
                (one.key, in_language(row_of(kind, "causes", one.key)["label"]))
                for one in table_of(kind).causes
            ],
        )

    def clean(self) -> dict[str, Any]:
        """One thing or the other: causes, or none of those listed."""
        clean: dict[str, Any] = super().clean() or self.cleaned_data
        causes, is_none = clean.get("cause"), clean.get("none_of_these")
        if causes and is_none:
            self.add_error(
                "cause", _("Causes are ticked and “none of these” too: take one of them away.")
            )
        if causes == [] and not is_none:
            self.add_error("cause", _("Nothing is ticked: tick what it was, or “none of these”."))
        return clean

    def said(self, told: Mapping[str, frozenset[str]]) -> Said:
        """What the form says, with the symptoms that its page was told."""
        clean = self.cleaned_data
        return Said(frozenset(clean["cause"]), clean["tap"], clean["known"], clean["words"], **told)
