"""The form that takes over a key to sign papers with."""

from __future__ import annotations

import datetime as dt

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from repairs.people.models import User
from repairs.press.keys import KeyFacts, take_key
from repairs.press.refusals import KeyNotForSigningError, NoKeyFileError, WrongPassphraseError

MOST_BYTES = 1024 * 1024


class KeyForm(forms.Form):
    """A PKCS#12 file and what opens it. Neither is kept: only the key that was inside."""

    file = forms.FileField(
        label=_("the file with the key"),
        help_text=_("PKCS#12, whose name ends in .p12 or .pfx, as the issuer gave it to you."),
        allow_empty_file=True,
        widget=forms.ClearableFileInput(attrs={"accept": ".p12,.pfx,application/x-pkcs12"}),
    )
    passphrase = forms.CharField(
        label=_("its passphrase"),
        required=False,
        strip=False,
        max_length=400,
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
    )

    def clean_file(self) -> UploadedFile:
        """A file that may be one with a key, by its size."""
        file: UploadedFile = self.cleaned_data["file"]
        if (file.size or 0) > MOST_BYTES:
            raise forms.ValidationError(_("This file has more than 1 MB; no file with a key has."))
        return file

    def take(self, *, by: User, at: dt.datetime) -> KeyFacts | None:
        """Take the key over; None when it cannot be, with the reason beside its field."""
        data, passphrase = self.cleaned_data["file"].read(), self.cleaned_data["passphrase"]
        try:
            return take_key(data, passphrase, by=by, at=at)
        except WrongPassphraseError as refusal:
            self.add_error("passphrase", str(refusal))
        except (NoKeyFileError, KeyNotForSigningError) as refusal:
            self.add_error("file", str(refusal))
        return None
