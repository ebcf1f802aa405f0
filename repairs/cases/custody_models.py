"""What passes in a stay: its steps, and the chain of who held the instrument; and its number."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet
from repairs.cases.models import Case


class CaseSeries(models.Model):
    """The last number given in a year; the row is locked while one is taken."""

    year = models.PositiveSmallIntegerField(primary_key=True)
    last = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.year}: {self.last}"


class StepMove(models.Model):
    """One move of a case from step to step; never changed."""

    case = models.ForeignKey("repairs.Case", models.PROTECT, related_name="moves")
    step = models.CharField(max_length=12, choices=Case.Step)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.case_id} → {self.step}"


class Custody(Vouched):
    """A link of the chain of who held the instrument, where, from when until when."""

    class Holder(models.TextChoices):
        """Who has the instrument in hand."""

        WORKSHOP = "workshop", _("the workshop")
        OWNER = "owner", _("the owner")
        OTHER = "other", _("someone else")

    case = models.ForeignKey("repairs.Case", models.PROTECT, related_name="custody")
    holder = models.CharField(_("held by"), max_length=8, choices=Holder)
    holder_name = models.CharField(_("name"), max_length=160, blank=True)
    place = models.CharField(_("place"), max_length=80, blank=True)
    since = models.DateTimeField()
    until = models.DateTimeField(null=True)
    noted_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    covers = (Cover(plain="case holder since until noted_by", personal="holder_name place"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["since", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["case"], condition=Q(until=None), name="one_present_holder"
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")),
                name="custody_ends_after_start",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_holder_display()} {self.place}"
