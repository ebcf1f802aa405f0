"""What is typed of a hazard: that it is there, and how one knows; or why it is no more."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from repairs.instruments.hazard_models import HazardLifted, HazardNoted
from repairs.instruments.hazards import hazard_choices


class HazardForm(forms.ModelForm):
    """A hazard seen outside the looking over: at the bench, by letter, by an analysis."""

    class Meta:
        model = HazardNoted
        fields = ["key", "evidence", "note"]
        widgets = {"note": forms.Textarea(attrs={"rows": 2, "dir": "auto"})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["key"] = forms.ChoiceField(
            label=_("hazard"), choices=[("", "—"), *hazard_choices()]
        )

    def clean(self) -> dict[str, Any]:
        """Ask for words when the hazard is none of the list."""
        cleaned: dict[str, Any] = super().clean() or {}
        if cleaned.get("key") == "other" and not cleaned.get("note"):
            self.add_error("note", _("Say what the hazard is, and where."))
        return cleaned


class LiftForm(forms.ModelForm):
    """Why a hazard is no more. A reason is asked, as the next person must be able to judge it."""

    class Meta:
        model = HazardLifted
        fields = ["because"]
        widgets = {"because": forms.Textarea(attrs={"rows": 2, "dir": "auto"})}
        help_texts = {
            "because": _("By whom it was analysed, removed or sealed in, and when."),
        }
        error_messages = {
            "because": {
                "required": _("Say why it is no longer a danger: it stands until you do."),
            }
        }
