"""What became of every backup and every drill."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from repairs.storage.rows import KeptForEver


class KeepRunQuerySet(models.QuerySet["KeepRun"]):
    """Runs by what they were and how they ended."""

    def last_good(self, sort: str) -> KeepRun | None:
        """The last of that sort that came to its end."""
        return self.filter(sort=sort, is_good=True).order_by("-pk").first()

    def last(self, sort: str = "") -> KeepRun | None:
        """The last of that sort, however it ended."""
        return (self.filter(sort=sort) if sort else self).order_by("-pk").first()


class KeepRun(KeptForEver):
    """One backup or drill, written at its end; the log has a line of it beside."""

    class Sort(models.TextChoices):
        """A backup, or its trial."""

        BACKUP = "backup", _("backup")
        DRILL = "drill", _("drill")

    sort = models.CharField(max_length=8, choices=Sort)
    begun_at = models.DateTimeField(db_index=True)
    ended_at = models.DateTimeField()
    is_good = models.BooleanField()
    is_encrypted = models.BooleanField(default=False)
    place = models.CharField(max_length=300)
    entry = models.CharField(max_length=60, blank=True)
    rows_n = models.PositiveBigIntegerField(default=0)
    files_n = models.PositiveBigIntegerField(default=0)
    copied_n = models.PositiveBigIntegerField(default=0)
    size_bytes = models.PositiveBigIntegerField(default=0)
    # Why it failed; or what a good one found wrong in the house.
    trouble = models.TextField(blank=True)

    objects = KeepRunQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["sort", "is_good"], name="keep_run_sort")]

    def __str__(self) -> str:
        return f"{self.sort} {self.entry}"
