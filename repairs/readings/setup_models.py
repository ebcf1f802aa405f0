"""A guided set-up: begun, left off, gone on with on any day; what was done at each step."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from repairs.storage.rows import KeptForEver


class SetUp(models.Model):
    """The finishing adjustment of an instrument during one stay, in the order of its kind."""

    case = models.ForeignKey("repairs.Case", models.PROTECT, related_name="setups")
    number = models.PositiveSmallIntegerField(editable=False)
    begun_at = models.DateTimeField()
    begun_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True)

    class Meta:
        verbose_name = _("guided set-up")
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="one_setup_a_number"),
            models.UniqueConstraint(
                fields=["case"], condition=Q(ended_at=None), name="one_setup_open_a_case"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.case_id} {self.number}"


class SetUpMark(KeptForEver):
    """What somebody did or saw at a step. The readings themselves are rows of their own."""

    class What(models.TextChoices):
        SEEN = "seen", _("found good by hand and eye")
        CHANGED = "changed", _("something was changed")
        ROUND = "round", _("played in")
        LEFT_OUT = "left_out", _("left out")

    setup = models.ForeignKey(SetUp, models.PROTECT, related_name="marks")
    step = models.CharField(max_length=24)
    what = models.CharField(max_length=10, choices=What)
    words = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    # Each form that was shown bears a name of its own: sent twice, it is kept once.
    tap = models.UUIDField(unique=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.step}: {self.what}"
