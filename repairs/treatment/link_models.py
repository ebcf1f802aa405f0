"""What agreed and begun work is about: links that the log vouches for, like all that was agreed."""

from __future__ import annotations

from django.db import models

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet
from repairs.treatment.models import AgreedWork, Intervention


class AgreedWorkFinding(Vouched):
    """A finding that an agreed work answers."""

    agreedwork = models.ForeignKey(AgreedWork, models.CASCADE, related_name="+")
    finding = models.ForeignKey("repairs.Finding", models.CASCADE, related_name="+")

    covers = (Cover(plain="agreedwork finding"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        db_table = "repairs_agreedwork_findings"
        unique_together = [("agreedwork", "finding")]

    def __str__(self) -> str:
        return f"{self.agreedwork_id} {self.finding_id}"


class InterventionFinding(Vouched):
    """A finding that a begun work answers."""

    intervention = models.ForeignKey(Intervention, models.CASCADE, related_name="+")
    finding = models.ForeignKey("repairs.Finding", models.CASCADE, related_name="+")

    covers = (Cover(plain="intervention finding"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        db_table = "repairs_intervention_findings"
        unique_together = [("intervention", "finding")]

    def __str__(self) -> str:
        return f"{self.intervention_id} {self.finding_id}"


class InterventionPart(Vouched):
    """A part that a begun work touches."""

    intervention = models.ForeignKey(Intervention, models.CASCADE, related_name="+")
    part = models.ForeignKey("repairs.Part", models.CASCADE, related_name="+")

    covers = (Cover(plain="intervention part"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        db_table = "repairs_intervention_parts"
        unique_together = [("intervention", "part")]

    def __str__(self) -> str:
        return f"{self.intervention_id} {self.part_id}"
