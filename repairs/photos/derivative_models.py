"""The smaller pictures of originals, each with the hash of its own bytes."""

from __future__ import annotations

from django.db import models

from repairs.photos.models import Original


class Derivative(models.Model):
    """One smaller picture as the darkroom made it; it may be made anew from its original."""

    original = models.ForeignKey(Original, models.PROTECT, related_name="derivatives")
    longest_px = models.PositiveSmallIntegerField()
    sha256 = models.CharField(max_length=64)
    size_bytes = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["original", "longest_px"], name="one_derivative_a_size")
        ]

    def __str__(self) -> str:
        return f"{self.original} {self.longest_px} px"
