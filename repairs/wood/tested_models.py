"""What was weighed and tapped of a piece."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from repairs.wood.models import Piece
from repairs.wood.sizes import POSITIVE_SIZES, Sized


class WoodTest(Sized):
    """One strip or block weighed and tapped, and what the gauges made of it; never changed."""

    piece = models.ForeignKey(Piece, models.PROTECT, related_name="tests")
    taken_on = models.DateField(_("tested on"))
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    mass_g = models.DecimalField(_("mass"), max_digits=7, decimal_places=2)
    mc_pct = models.DecimalField(
        _("moisture"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    ring_mm = models.DecimalField(
        _("ring width"), max_digits=5, decimal_places=2, null=True, blank=True
    )
    tap_f_hz = models.DecimalField(
        _("tap tone"), max_digits=7, decimal_places=2, null=True, blank=True
    )
    given = models.JSONField(editable=False)
    output = models.JSONField(editable=False)
    versions = models.JSONField(editable=False)
    saved_at = models.DateTimeField(editable=False)

    class Meta:
        ordering = ["-taken_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=POSITIVE_SIZES & Q(mass_g__gt=0), name="wood_test_sizes_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.piece_id} {self.taken_on}"
