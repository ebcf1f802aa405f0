"""What went out after an invoice: reminders on paper, and messages with a paper enclosed."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet
from repairs.money import NOTHING
from repairs.storage.rows import KeptForEver

LAST_LEVEL = 3


class Reminder(Vouched, KeptForEver):
    """A reminder that was issued on paper: level 1 to 3, each once for an invoice."""

    invoice = models.ForeignKey("repairs.Invoice", models.PROTECT, related_name="reminders")
    level = models.PositiveSmallIntegerField()
    open_amount = models.DecimalField(max_digits=14, decimal_places=2)
    penalty = models.DecimalField(max_digits=14, decimal_places=2, default=NOTHING)
    fee = models.DecimalField(max_digits=14, decimal_places=2, default=NOTHING)
    paper = models.OneToOneField("repairs.Paper", models.PROTECT, related_name="reminder")
    issued_on = models.DateField()

    covers = (Cover(plain="invoice level open_amount penalty fee paper issued_on"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["level"]
        constraints = [
            models.UniqueConstraint(fields=["invoice", "level"], name="one_reminder_a_level"),
            models.CheckConstraint(
                condition=Q(level__range=(1, LAST_LEVEL)), name="reminder_level"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.invoice_id}, {self.level}"

    @property
    def asks_charges(self) -> bool:
        """Whether it asks for a penalty or a fee beside what is open."""
        return any((self.penalty, self.fee))


class Sending(Vouched):
    """One attempt to send a paper by e-mail, and how it ended."""

    class State(models.TextChoices):
        UNDER_WAY = "under_way", _("not known whether it went")
        SENT = "sent", _("sent")
        FAILED = "failed", _("not sent")

    invoice = models.ForeignKey("repairs.Invoice", models.PROTECT, related_name="sendings")
    paper = models.ForeignKey("repairs.Paper", models.PROTECT, related_name="sendings")
    address = models.EmailField()
    state = models.CharField(max_length=9, choices=State, default=State.UNDER_WAY)
    why = models.CharField(max_length=500, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    covers = (Cover(plain="invoice paper state at by", personal="address why"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.paper_id} {self.state}"
