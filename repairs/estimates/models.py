"""What is offered to the owner, in versions, and what the owner agreed to, when and how."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet

PERCENT = [MinValueValidator(0), MaxValueValidator(100)]


class EstimateQuerySet(VouchedQuerySet["Estimate"]):
    """Versions of offers, by what became of them."""

    def issued(self) -> EstimateQuerySet:
        """Those that were shown to an owner: they have their paper."""
        return self.filter(paper__isnull=False)


class Estimate(Vouched):
    """One version of the offer. Once issued it never changes; another wish is a new version.

    The log vouches for each state that was saved, of drafts too, with options, lines and what they
    answer.
    """

    case = models.ForeignKey("repairs.Case", models.PROTECT, related_name="estimates")
    version = models.PositiveSmallIntegerField(editable=False)
    currency = models.CharField(max_length=3)
    hourly_rate = models.DecimalField(_("hourly rate, before tax"), max_digits=10, decimal_places=2)
    tax_pct = models.DecimalField(
        _("VAT"), max_digits=5, decimal_places=2, default=Decimal("0"), validators=PERCENT
    )
    tax_words = models.CharField(
        _("tax, in words"),
        max_length=200,
        blank=True,
        help_text=_("Such as the text of an exemption. Confirm it with your accountant."),
    )
    survey_fee = models.DecimalField(
        _("fee for looking over"),
        max_digits=10,
        decimal_places=2,
        default=Decimal("0"),
        help_text=_("Before tax; due even when nothing is agreed, if it was said so."),
    )
    valid_until = models.DateField(_("valid until"))
    stop_pct = models.PositiveSmallIntegerField(
        _("will stop and ask at"), default=10, validators=PERCENT
    )
    deposit_pct = models.PositiveSmallIntegerField(_("deposit"), default=0, validators=PERCENT)
    intro = models.TextField(_("to the owner"), max_length=2000, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    revision = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField()
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    paper = models.OneToOneField("repairs.Paper", models.PROTECT, null=True, related_name="+")
    withdrawn_at = models.DateTimeField(null=True)

    covers = (
        Cover(
            plain=(
                "case version currency hourly_rate tax_pct tax_words survey_fee valid_until "
                "stop_pct deposit_pct made_at made_by revision changed_at changed_by paper "
                "withdrawn_at"
            ),
            personal="intro",
        ),
    )

    objects = EstimateQuerySet.as_manager()

    class Meta:
        ordering = ["-version"]
        constraints = [
            models.UniqueConstraint(fields=["case", "version"], name="one_estimate_a_version"),
            models.CheckConstraint(
                condition=Q(hourly_rate__gte=0) & Q(survey_fee__gte=0),
                name="estimate_amounts_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(tax_pct__range=(0, 100)), name="estimate_tax_possible"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.case_id} v{self.version}"

    def get_absolute_url(self) -> str:
        """The page of this version."""
        return reverse("estimates:detail", args=[self.case.number, self.version])

    @property
    def is_issued(self) -> bool:
        """Whether it has its paper, and so can never change again."""
        return self.paper_id is not None

    def has_lapsed(self, today: dt.date) -> bool:
        """Whether its last day of validity has gone by."""
        return today > self.valid_until


class Option(Vouched):
    """One of the ways offered, with what it leaves out and where it stops."""

    class Kind(models.TextChoices):
        """What the option is for, from the least that keeps the thing safe to the most."""

        SAFE = "safe", _("the minimum that keeps it safe")
        PLAYABLE = "playable", _("make it playable")
        FULL = "full", _("full restoration")
        OTHER = "other", _("another way")

    estimate = models.ForeignKey(Estimate, models.CASCADE, related_name="options")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(_("kind"), max_length=10, choices=Kind)
    title = models.CharField(_("in a line"), max_length=120, blank=True)
    promise = models.TextField(_("what it gives"), max_length=1500, blank=True)
    risk = models.TextField(_("risk"), max_length=1500, blank=True)
    reversibility = models.TextField(_("reversibility"), max_length=1500, blank=True)
    left_out = models.TextField(_("not included"), max_length=1500, blank=True)
    ceiling = models.DecimalField(
        _("ceiling, tax included"),
        max_digits=12,
        decimal_places=2,
        null=True,
        blank=True,
        help_text=_("The owner never pays more without a new consent. Empty: the upper total."),
    )

    covers = (
        Cover(
            plain="estimate position kind ceiling",
            personal="title promise risk reversibility left_out",
        ),
    )

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ceiling__isnull=True) | Q(ceiling__gte=0),
                name="option_ceiling_not_negative",
            )
        ]

    def __str__(self) -> str:
        return self.title or str(self.get_kind_display())


class OptionLine(Vouched):
    """One line of an option: work under a procedure, a material, or a cost from outside."""

    class Kind(models.TextChoices):
        """Our work by the hour or at a price, a material, or what somebody else charges."""

        WORK = "work", _("work")
        MATERIAL = "material", _("material")
        OUTSIDE = "outside", _("cost from outside")

    option = models.ForeignKey(Option, models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(_("kind"), max_length=10, choices=Kind)
    version = models.ForeignKey(
        "repairs.ProcedureVersion", models.PROTECT, null=True, related_name="+"
    )
    findings: models.ManyToManyField[Any, Any] = models.ManyToManyField(
        "repairs.Finding", related_name="+", through="OptionLineFinding"
    )
    words = models.CharField(_("in words"), max_length=300, blank=True)
    minutes_low = models.PositiveIntegerField(_("minutes, at least"), null=True, blank=True)
    minutes_high = models.PositiveIntegerField(_("minutes, at most"), null=True, blank=True)
    amount = models.DecimalField(
        _("amount before tax"), max_digits=10, decimal_places=2, null=True, blank=True
    )
    is_sampling = models.BooleanField(_("a sample is taken, and used up by a test"), default=False)

    covers = (
        Cover(
            plain="option position kind version minutes_low minutes_high amount is_sampling",
            personal="words",
        ),
    )

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(kind="work") | Q(version__isnull=False),
                name="work_line_has_a_procedure",
            ),
            models.CheckConstraint(
                condition=Q(minutes_low__isnull=True)
                | Q(minutes_high__isnull=True)
                | Q(minutes_high__gte=models.F("minutes_low")),
                name="line_minutes_in_order",
            ),
            models.CheckConstraint(
                condition=Q(amount__isnull=True) | Q(amount__gte=0),
                name="line_amount_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return self.words or (self.version.label if self.version else "")


class OptionLineFinding(Vouched):
    """A finding that a line of an option answers."""

    optionline = models.ForeignKey(OptionLine, models.CASCADE, related_name="+")
    finding = models.ForeignKey("repairs.Finding", models.CASCADE, related_name="+")

    covers = (Cover(plain="optionline finding"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        db_table = "repairs_optionline_findings"
        unique_together = [("optionline", "finding")]

    def __str__(self) -> str:
        return f"{self.optionline_id} {self.finding_id}"
