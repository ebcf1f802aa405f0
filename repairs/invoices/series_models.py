"""The series in which invoices are numbered."""

from __future__ import annotations

from django.db import models


class InvoiceSeries(models.Model):
    """A line of numbers without a gap: one for each prefix and year."""

    prefix = models.CharField(max_length=6)
    year = models.PositiveSmallIntegerField()
    last = models.PositiveIntegerField(default=0)
    last_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["prefix", "year"], name="one_series_a_year")]

    def __str__(self) -> str:
        return f"{self.prefix}-{self.year}: {self.last}"
