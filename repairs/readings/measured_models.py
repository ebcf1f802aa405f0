"""Which reading measured what a finding calls not measured: the answer of a person."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q


class MeasuredQuerySet(models.QuerySet["Measured"]):
    """Answers, by whether they stand."""

    def standing(self) -> MeasuredQuerySet:
        """Those that were not taken back, nor name a reading or a finding that was withdrawn."""
        gone = Q(reading__withdrawn_at__isnull=False) | Q(finding__withdrawn_at__isnull=False)
        return self.filter(taken_back_at=None).exclude(gone)


class Measured(models.Model):
    """“It is this reading”; without one, “none of them: it is still to be measured”."""

    finding = models.ForeignKey("repairs.Finding", models.PROTECT, related_name="measured")
    reading = models.ForeignKey(
        "repairs.Reading", models.PROTECT, null=True, related_name="measured"
    )
    said_at = models.DateTimeField()
    said_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    taken_back_at = models.DateTimeField(null=True)

    objects = MeasuredQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.finding_id} by {self.reading_id}"
