from __future__ import annotations

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.photos.models import Carries, Photo


class ManyFilesInput(forms.ClearableFileInput):
    """A field for several files at once, which Django's own refuses."""

    allow_multiple_selected = True


class ManyFilesField(forms.FileField):
    """Several files in one field; each is judged later, by itself."""

    widget = ManyFilesInput

    def clean(self, data: Any, initial: Any = None) -> list[UploadedFile]:
        """The files sent, at least one."""
        files = [file for file in (data or []) if file]
        if not files:
            raise forms.ValidationError(_("Choose at least one photo."))
        return files


def view_choices(case: Case) -> list[tuple[str, str]]:
    """The views that the kind of instrument wants, and none of them."""
    views = case.instrument.pattern.views
    return [("", str(_("not a standard view"))), *[(view.slug, str(view)) for view in views]]


class PhotosForm(forms.Form):
    """Photos from the disk, with the phase and the view that they all share."""

    files = ManyFilesField(  # type: ignore[assignment] # a name of the base class's too
        label=_("photos"),
        widget=ManyFilesInput(attrs={"accept": "image/*,.heic,.heif", "multiple": True}),
    )
    phase = forms.ChoiceField(label=_("phase"), choices=Photo.Phase.choices)
    view = forms.ChoiceField(label=_("standard view"), required=False)
    carries = forms.ChoiceField(label=_("in the picture"), required=False, choices=Carries.choices)

    def __init__(self, *args: Any, case: Case, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["view"].choices = view_choices(case)  # type: ignore[attr-defined]


class FileNameField(forms.CharField):
    """The name that a file had on the device: kept short, and with nothing a database refuses."""

    def to_python(self, value: object) -> str:
        """The name as the camera gave it; what is no text is replaced, and it is cut at 200."""
        name = super().to_python(value) or ""
        return name.encode("utf-8", "replace").decode()[:200]


class BeginForm(forms.Form):
    """What the browser says of a file before it sends the first piece."""

    name = FileNameField()
    size = forms.IntegerField(min_value=0)
    modified = forms.CharField(max_length=40, required=False)
    phase = forms.ChoiceField(choices=Photo.Phase.choices)
    view = forms.ChoiceField(required=False)
    carries = forms.ChoiceField(required=False, choices=Carries.choices)

    def __init__(self, *args: Any, case: Case, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["view"].choices = view_choices(case)  # type: ignore[attr-defined]


class DescribeForm(forms.ModelForm):
    """Phase, view and caption of one photo, and what lies in the picture."""

    class Meta:
        model = Photo
        fields = ["phase", "view", "carries", "caption"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["view"] = forms.ChoiceField(
            label=_("standard view"), required=False, choices=view_choices(self.instance.case)
        )
