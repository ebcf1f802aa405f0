from __future__ import annotations

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from repairs.press.document import tidy_code

# The largest of the demo, a report with 14 photos, has 3 MB.
MOST_BYTES = 32 * 1024 * 1024


class VerifyForm(forms.Form):
    """Either the file or the printed code."""

    file = forms.FileField(
        label=_("the PDF"),
        required=False,
        allow_empty_file=True,
        widget=forms.ClearableFileInput(attrs={"accept": "application/pdf"}),
    )
    code = forms.CharField(
        label=_("or the code printed at the foot of each page"),
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "off", "placeholder": "ABCD-EFGH-JKMN"}),
    )

    def clean_file(self) -> UploadedFile | None:
        """The PDF, if it is not larger than any of ours."""
        file: UploadedFile | None = self.cleaned_data.get("file")
        if file and (file.size or 0) > MOST_BYTES:
            raise forms.ValidationError(
                _("This file has more than 32 MB; none of ours has. Type the printed code instead.")
            )
        return file

    def clean_code(self) -> str:
        """The code as typed; dashes, spaces and small letters do not matter."""
        typed = str(self.cleaned_data["code"]).strip()
        if typed and not tidy_code(typed):
            raise forms.ValidationError(
                _("A code has three groups of four letters or digits, such as ABCD-EFGH-JKMN.")
            )
        return typed

    def clean(self) -> dict[str, Any]:
        """Ask for one of the two."""
        cleaned: dict[str, Any] = super().clean() or {}
        if not self.errors and cleaned.get("file") is None and not cleaned.get("code"):
            raise forms.ValidationError(_("Choose the PDF, or type its code."))
        return cleaned
