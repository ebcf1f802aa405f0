"""Handing an instrument back: who took it, and in what state it leaves."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet
from repairs.cases.models import Case


class HandBack(Vouched):
    """How an instrument leaves: written down beforehand, done when the return receipt is issued."""

    case = models.ForeignKey(Case, models.PROTECT, related_name="hand_backs")
    ending = models.CharField(_("how it ends"), max_length=12, choices=Case.Step)
    received_name = models.CharField(_("handed to"), max_length=160)
    returned_at = models.DateTimeField(_("handed over"))
    state_at_return = models.TextField(
        _("state at return, in three lines"),
        max_length=1200,
        help_text=_("What anyone can see at the counter. It stands on the return receipt."),
    )
    items = models.TextField(
        _("given with it"), max_length=2000, blank=True, help_text=_("One a line.")
    )
    why_unworked = models.CharField(_("why it goes home unworked"), max_length=200, blank=True)
    reserve = models.TextField(_("guarantee and its limits"), max_length=1500, blank=True)
    # Wheel, cotton and tangents are read again after a heated winter (common practice).
    next_check_on = models.DateField(_("next check"), null=True, blank=True)
    room_t_c = models.DecimalField(
        _("room temperature"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    # Noted as it leaves: whether wood moved later is judged from the air it came out of.
    room_rh_pct = models.DecimalField(
        _("room humidity"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    noted_at = models.DateTimeField()
    noted_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    done_at = models.DateTimeField(null=True)

    covers = (
        Cover(
            plain=(
                "case ending returned_at next_check_on room_t_c room_rh_pct noted_at noted_by "
                "done_at"
            ),
            personal="received_name state_at_return items why_unworked reserve",
        ),
    )

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["case"], condition=Q(done_at=None), name="one_return_being_written"
            ),
            models.CheckConstraint(
                condition=Q(room_rh_pct__isnull=True) | Q(room_rh_pct__range=(0, 100)),
                name="hand_back_humidity_possible",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.case_id} → {self.received_name}"
