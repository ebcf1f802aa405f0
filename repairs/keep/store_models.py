"""When each file of the store was last read back, and what was found then."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _


class FileCheckQuerySet(models.QuerySet["FileCheck"]):
    """Files by whether they are what they were."""

    def harmed(self) -> FileCheckQuerySet:
        """Those that a person must know of: what a row names is gone, or is something else."""
        return self.filter(found__in=[FileCheck.Found.MISSING, FileCheck.Found.CHANGED])

    def odd(self) -> FileCheckQuerySet:
        """All that is not as it should be, the gravest first."""
        return self.exclude(found="").order_by("folder", "name")


class FileCheck(models.Model):
    """One file of the store, when it was last read back against its hash. No part of any record."""

    class Found(models.TextChoices):
        """What was found; empty for a file that is what it was."""

        MISSING = "missing", _("not there")
        CHANGED = "changed", _("changed")
        ORPHANED = "orphaned", _("known to no row")
        UNREFERENCED = "unreferenced", _("used by nothing")

    name = models.CharField(max_length=200, unique=True)
    folder = models.CharField(max_length=40)
    checked_at = models.DateTimeField()
    found = models.CharField(max_length=12, choices=Found, blank=True)

    objects = FileCheckQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["found"], name="file_found")]

    def __str__(self) -> str:
        return self.name


class StoreCheck(models.Model):
    """One walk through the store: when, how much of it was read, and what came of it."""

    begun_at = models.DateTimeField()
    ended_at = models.DateTimeField()
    share_pct = models.PositiveSmallIntegerField()
    known_n = models.PositiveIntegerField()
    read_n = models.PositiveIntegerField()
    read_bytes = models.PositiveBigIntegerField()
    healed_n = models.PositiveIntegerField()

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.read_n} of {self.known_n} files, {self.begun_at:%Y-%m-%d}"
