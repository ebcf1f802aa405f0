"""The form for a received e-invoice."""

from __future__ import annotations

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

MOST_BYTES = 20 * 1024 * 1024


class ReceivedForm(forms.Form):
    """A file that somebody sent: a PDF with an e-invoice inside, or the XML alone."""

    file = forms.FileField(
        label=_("the file"),
        allow_empty_file=True,
        widget=forms.ClearableFileInput(
            attrs={"accept": "application/pdf,application/xml,text/xml,.xml"}
        ),
    )

    def clean_file(self) -> UploadedFile:
        """Refuse what is larger than any e-invoice before it is read into memory."""
        file: UploadedFile = self.cleaned_data["file"]
        if file.size and file.size > MOST_BYTES:
            raise forms.ValidationError(_("This file has more than 20 MB; no invoice needs that."))
        return file
