"""By how much a prescription was followed, what it promised, and what came of it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import pgettext_lazy

from repairs.storage.rows import WrittenOnce
from repairs.treatment.models import Intervention


class MoveDone(WrittenOnce):
    """By how much a prescription was really followed; the last row for it counts."""

    intervention = models.ForeignKey(Intervention, models.PROTECT, related_name="moves_done")
    prescription = models.ForeignKey(
        "repairs.Prescription", models.PROTECT, related_name="moves_done"
    )
    amount = models.FloatField(pgettext_lazy("amount", "done"))
    unit = models.CharField(max_length=12, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.prescription_id}: {self.amount} {self.unit}"


class Achieved(WrittenOnce):
    """What a prescription promised and what the after-reading shows, written at the sign-off."""

    intervention = models.ForeignKey(Intervention, models.PROTECT, related_name="achieved")
    prescription = models.ForeignKey(
        "repairs.Prescription", models.PROTECT, related_name="achieved"
    )
    after = models.ForeignKey("repairs.Result", models.PROTECT, related_name="+")
    figure = models.CharField(max_length=60)
    label = models.CharField(max_length=160)
    done = models.FloatField(null=True)
    done_unit = models.CharField(max_length=12, blank=True)
    expected = models.FloatField()
    expected_u = models.FloatField(null=True)
    got = models.FloatField()
    got_u = models.FloatField(null=True)
    unit = models.CharField(max_length=12, blank=True)
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["intervention", "prescription", "figure"], name="one_achieved_a_promise"
            )
        ]

    def __str__(self) -> str:
        return f"{self.figure}: {self.expected} → {self.got}"

    @property
    def places(self) -> int:
        """Places after the point that its unit deserves."""
        return places_of(self.unit)


def places_of(unit: str) -> int:
    """To how many places a promise and what came of it are said."""
    return 1 if unit == "cents" else 3
