"""What an instrument is made of and how large it is: parts and sizes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from repairs.instruments.kinds import material_label, protection_of
from repairs.instruments.models import Instrument
from repairs.instruments.scales import scale_label
from repairs.language.text import in_language


class Dimension(models.Model):
    """One measured size of the whole instrument, under the kind's name for it."""

    instrument = models.ForeignKey(Instrument, models.CASCADE, related_name="dimensions")
    key = models.CharField(_("dimension"), max_length=40)
    value_mm = models.DecimalField(
        _("value"), max_digits=7, decimal_places=2, validators=[MinValueValidator(0)]
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["instrument", "key"], name="one_dimension_a_key"),
            models.CheckConstraint(
                condition=Q(value_mm__gt=0) & Q(value_mm__lt=5000), name="dimension_plausible"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.label} {self.value_mm} mm"

    @property
    def label(self) -> str:
        """The kind's name for it; the bare key where the kind knows no such size any more."""
        rows = self.instrument.pattern.dimensions
        return next((in_language(row.label) for row in rows if row.key == self.key), self.key)


class Part(models.Model):
    """A node of the instrument's own parts tree, copied from its kind when it is entered."""

    class Originality(models.TextChoices):
        """Whether the maker made it, or who after him."""

        ORIGINAL = "original", _("original")
        OLD = "old_replacement", _("old replacement")
        LATER = "later_replacement", _("later replacement")
        UNKNOWN = "unknown", _("unknown")

    instrument = models.ForeignKey(Instrument, models.CASCADE, related_name="parts")
    parent = models.ForeignKey("self", models.CASCADE, null=True, related_name="children")
    key = models.CharField(max_length=40)
    own_label = models.CharField(_("name of the part"), max_length=80, blank=True)
    position = models.PositiveSmallIntegerField()
    depth = models.PositiveSmallIntegerField(default=0)
    # Empty until somebody looked: white bone, ivory and casein are told apart under the lens, not
    # from the armchair.
    material = models.CharField(_("material"), max_length=40, blank=True)
    material_note = models.CharField(
        _("how the material was identified"), max_length=160, blank=True
    )
    originality = models.CharField(
        _("originality"), max_length=20, choices=Originality, default=Originality.UNKNOWN
    )

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["instrument", "key"], name="one_part_a_key"),
        ]

    def __str__(self) -> str:
        return self.label()

    def label(self, code: str | None = None) -> str:
        """Its own name, else its kind's, in the language of ``code`` or the one in force."""
        if self.own_label:
            return self.own_label
        pattern = next((p for p in self.instrument.pattern.parts if p.key == self.key), None)
        return in_language(pattern.label, code) if pattern else self.key

    @property
    def material_label(self) -> str:
        """The material in the reader's language; empty until it was seen."""
        return material_label(self.material) if self.material else ""

    @property
    def originality_label(self) -> str:
        """The originality in the reader's language."""
        return scale_label("originality", self.originality)

    @property
    def protection(self) -> Mapping[str, Any] | None:
        """What species protection says of its material; None when it is free."""
        return protection_of(self.material)
