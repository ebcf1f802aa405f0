"""Tries at the open doors of the house, counted across processes."""

from __future__ import annotations

from django.db import models


class Tries(models.Model):
    """How often somebody tried something, and when they may try again; swept after some days.

    ``who`` is keyed with the house's secret: neither a name nor an address can be read out of it.
    Times are whole seconds since 1970, which both databases reckon with alike.
    """

    what = models.CharField(max_length=30)
    who = models.CharField(max_length=64)
    n = models.PositiveIntegerField()
    delay_s = models.PositiveIntegerField(default=0)
    free_at_s = models.PositiveBigIntegerField(default=0)
    last_s = models.PositiveBigIntegerField(db_index=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["what", "who"], name="tries_once_each")]

    def __str__(self) -> str:
        return f"{self.what} {self.n}"
