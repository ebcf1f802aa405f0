"""Work under a procedure: what was agreed, what was done, with what, by whom, and its proof."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet
from repairs.money import NOTHING, net_within
from repairs.procedures.models import ProcedureVersion
from repairs.storage.rows import WrittenOnce

MOST_MINUTES = 24 * 60


class AgreedWorkQuerySet(VouchedQuerySet["AgreedWork"]):
    """Agreed works by whether they still stand."""

    def live(self) -> AgreedWorkQuerySet:
        """Those that still stand: not replaced by a later agreement, not given up."""
        return self.filter(superseded_at=None, dropped_at=None).select_related("version")


class AgreedWork(Vouched):
    """A piece of work that may be done, since somebody who may do so agreed to it."""

    class Basis(models.TextChoices):
        """Who gave leave; nothing is begun without one of these."""

        CONSENT = "consent", _("consent of the owner")
        HOUSE = "house", _("decision of the principal, instrument of the house")
        EMERGENCY = "emergency", _("emergency, decided by the principal")
        COUNTER = "counter", _("agreed at the counter")

    case = models.ForeignKey("repairs.Case", models.PROTECT, related_name="agreed_works")
    number = models.PositiveSmallIntegerField(editable=False)
    version = models.ForeignKey(ProcedureVersion, models.PROTECT, related_name="agreed_works")
    findings: models.ManyToManyField[Any, Any] = models.ManyToManyField(
        "repairs.Finding", related_name="agreed_works", through="AgreedWorkFinding"
    )
    title = models.CharField(_("in a line"), max_length=200, blank=True)
    basis = models.CharField(max_length=10, choices=Basis)
    reference = models.CharField(max_length=40, blank=True)
    agreed_name = models.CharField(_("agreed by"), max_length=160, blank=True)
    agreed_at = models.DateTimeField()
    noted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )
    because = models.CharField(_("because"), max_length=300, blank=True)
    # Ceiling and the sum at which the workshop stops and asks are with tax, as the owner pays.
    ceiling = models.DecimalField(max_digits=12, decimal_places=2, null=True)
    stop_at = models.DecimalField(max_digits=12, decimal_places=2, null=True)
    tax_pct = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("0"))
    # What was agreed beside work by the hour, before tax; the same on all rows of one agreement.
    survey_fee = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal("0"))
    outside_costs = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal("0"))
    material_costs = models.DecimalField(max_digits=12, decimal_places=2, default=Decimal("0"))
    hourly_rate = models.DecimalField(max_digits=10, decimal_places=2, null=True)
    currency = models.CharField(max_length=3, default="EUR")
    irreversible_agreed = models.BooleanField(default=False)
    content_hash = models.CharField(max_length=64, blank=True)
    superseded_at = models.DateTimeField(null=True)
    dropped_at = models.DateTimeField(null=True)
    dropped_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )
    dropped_because = models.CharField(max_length=300, blank=True)

    covers = (
        Cover(
            plain=(
                "case number version basis reference agreed_at noted_by ceiling stop_at tax_pct "
                "survey_fee outside_costs material_costs hourly_rate currency "
                "irreversible_agreed content_hash superseded_at dropped_at dropped_by"
            ),
            personal="title agreed_name because dropped_because",
        ),
    )

    objects = AgreedWorkQuerySet.as_manager()

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="one_agreed_work_a_number"),
            models.CheckConstraint(
                condition=~Q(basis="emergency") | ~Q(because=""), name="emergency_says_why"
            ),
            models.CheckConstraint(
                condition=Q(dropped_at__isnull=True) | ~Q(dropped_because=""),
                name="dropped_work_says_why",
            ),
            models.CheckConstraint(
                condition=Q(ceiling__isnull=True) | Q(ceiling__gte=0), name="ceiling_not_negative"
            ),
            models.CheckConstraint(condition=Q(tax_pct__gte=0), name="agreed_tax_not_negative"),
        ]

    def __str__(self) -> str:
        return self.title or self.version.label

    @property
    def stands(self) -> bool:
        """Of one row what ``live`` asks of many."""
        return self.superseded_at is None and self.dropped_at is None

    @property
    def is_emergency(self) -> bool:
        """Whether it was begun before the owner could be asked."""
        return self.basis == self.Basis.EMERGENCY

    @property
    def is_at_a_price(self) -> bool:
        """Agreed at the counter: its ceiling is the price, tax included, whatever the minutes."""
        return self.basis == self.Basis.COUNTER

    def net_price_at(self, rate_pct: Decimal) -> Decimal:
        """What to bill before a tax at this rate, so that the total is the price agreed."""
        return net_within(self.ceiling or NOTHING, rate_pct)


class Intervention(models.Model):
    """Work done under one version of a procedure, on parts, answering findings."""

    case = models.ForeignKey("repairs.Case", models.PROTECT, related_name="interventions")
    number = models.PositiveSmallIntegerField(editable=False)
    agreed = models.ForeignKey(AgreedWork, models.PROTECT, related_name="interventions")
    version = models.ForeignKey(ProcedureVersion, models.PROTECT, related_name="interventions")
    findings: models.ManyToManyField[Any, Any] = models.ManyToManyField(
        "repairs.Finding", related_name="interventions", through="InterventionFinding"
    )
    parts: models.ManyToManyField[Any, Any] = models.ManyToManyField(
        "repairs.Part", related_name="interventions", through="InterventionPart"
    )
    room_t_c = models.DecimalField(
        _("room temperature"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    room_rh_pct = models.DecimalField(
        _("room humidity"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    words = models.TextField(
        _("what was done, in words"),
        max_length=4000,
        blank=True,
        help_text=_("What differs from the steps; what was seen on the way."),
    )
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="one_intervention_a_number"),
            models.CheckConstraint(
                condition=Q(room_rh_pct__isnull=True) | Q(room_rh_pct__range=(0, 100)),
                name="intervention_humidity_possible",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} — {self.agreed}"

    def get_absolute_url(self) -> str:
        """The page of the work."""
        return reverse("treatment:work", args=[self.case.number, self.number])

    @property
    def minutes(self) -> int:
        """Of all its spells that are over, clocked or typed."""
        return sum(spell.minutes or 0 for spell in self.spells.all())

    @property
    def is_signed(self) -> bool:
        """Whether it is signed off, and so closed."""
        return hasattr(self, "sign_off")


class WorkSpell(models.Model):
    """Minutes of one person: run by a clock, or typed later and marked so."""

    intervention = models.ForeignKey(Intervention, models.PROTECT, related_name="spells")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="spells")
    started_at = models.DateTimeField(_("from"))
    ended_at = models.DateTimeField(null=True)
    minutes = models.PositiveSmallIntegerField(_("minutes"), null=True)
    typed = models.BooleanField(default=False)
    note = models.CharField(_("note"), max_length=200, blank=True)

    class Meta:
        ordering = ["started_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["person"], condition=Q(ended_at=None), name="one_clock_a_person"
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=F("started_at")),
                name="spell_ends_after_start",
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | Q(minutes__isnull=False),
                name="ended_spell_has_minutes",
            ),
            models.CheckConstraint(
                condition=Q(minutes__isnull=True) | Q(minutes__lte=MOST_MINUTES),
                name="spell_within_a_day",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person_id}: {self.minutes}"


class StepNote(WrittenOnce):
    """What really happened at one step; a later row for the same step replaces what it says."""

    class State(models.TextChoices):
        """What became of a step; a later note replaces none, it stands after it."""

        DONE = "done", pgettext_lazy("step", "done")
        OTHERWISE = "otherwise", _("done otherwise")
        LEFT_OUT = "left_out", _("left out")
        OPEN = "open", _("open again")

    WORDED = (State.OTHERWISE, State.LEFT_OUT)  # that say what happened instead

    intervention = models.ForeignKey(Intervention, models.PROTECT, related_name="step_notes")
    step = models.CharField(max_length=40)
    state = models.CharField(max_length=10, choices=State)
    words = models.CharField(_("what really happened"), max_length=500, blank=True)
    # Which tap on a phone it was: sent again after a lost answer, it is known by this.
    tap = models.UUIDField(null=True, unique=True, editable=False)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state__in=["otherwise", "left_out"]) | ~Q(words=""),
                name="other_step_says_what",
            )
        ]

    def __str__(self) -> str:
        return f"{self.step}: {self.state}"


class SignOff(Vouched, WrittenOnce):
    """A luthier's word that the work is done and proved, with the rows that it rests on."""

    intervention = models.OneToOneField(Intervention, models.PROTECT, related_name="sign_off")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    rows = models.JSONField()
    words = models.TextField(_("note"), max_length=2000, blank=True)

    covers = (Cover(plain="intervention by at rows", personal="words"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["at"]

    def __str__(self) -> str:
        return f"{self.intervention_id} by {self.by_id}"


def minutes_between(start: dt.datetime, end: dt.datetime) -> int:
    """Whole minutes, half up; a clock run at all counts at least one."""
    return max(1, int((end - start).total_seconds() / 60 + 0.5))
