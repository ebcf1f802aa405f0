"""Sets of raw values, and what the gauges made of them: append-only rows."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet
from repairs.storage.rows import WrittenOnce


class Tool(models.Model):
    """A measuring tool of the shop, with how finely it reads and when it was last checked."""

    name = models.CharField(_("name"), max_length=80, unique=True)
    resolution = models.DecimalField(
        _("resolution"), max_digits=9, decimal_places=4, validators=[MinValueValidator(0)]
    )
    unit = models.CharField(_("unit"), max_length=12, default="mm")
    calibrated_on = models.DateField(_("last checked on"), null=True, blank=True)
    note = models.CharField(_("note"), max_length=200, blank=True)
    retired_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        verbose_name = _("tool")
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(resolution__gt=0), name="tool_resolution_positive")
        ]

    def __str__(self) -> str:
        return self.name


class HouseLimit(models.Model):
    """A limit that the workshop sets for itself; it replaces the gauge's own from then on."""

    gauge = models.CharField(max_length=30)
    figure = models.CharField(max_length=60)
    lower = models.FloatField(_("from"), null=True, blank=True)
    upper = models.FloatField(_("to"), null=True, blank=True)
    source = models.CharField(_("source"), max_length=160)
    set_at = models.DateTimeField()
    set_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["gauge", "figure", "-set_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(lower__isnull=True)
                | Q(upper__isnull=True)
                | Q(upper__gte=models.F("lower")),
                name="house_limit_in_order",
            )
        ]

    def __str__(self) -> str:
        return f"{self.gauge}.{self.figure}"


class ReadingQuerySet(VouchedQuerySet["Reading"]):
    """Readings of a case, by what counts."""

    def present(self) -> ReadingQuerySet:
        """Those that were not withdrawn: a withdrawn reading stays kept and counts for nothing."""
        return self.filter(withdrawn_at=None)


class Reading(Vouched):
    """One set of raw values, kept as typed for ever. A later set is another reading."""

    class Phase(models.TextChoices):
        BEFORE = "before", _("before work")
        DURING = "during", _("during work")
        AFTER = "after", _("after work")
        FOLLOW_UP = "follow_up", _("follow-up")

    case = models.ForeignKey("repairs.Case", models.PROTECT, related_name="readings")
    number = models.PositiveSmallIntegerField(editable=False)
    gauge = models.CharField(max_length=30)
    subject = models.CharField(
        _("of what"),
        max_length=120,
        blank=True,
        help_text=_("Which string, part or crack, when there is more than one."),
    )
    phase = models.CharField(_("phase"), max_length=10, choices=Phase, default=Phase.BEFORE)
    round = models.PositiveSmallIntegerField(
        _("round"),
        null=True,
        blank=True,
        help_text=_("For a new instrument: 1 is its first playable state."),
    )
    tool = models.ForeignKey(
        Tool,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="readings",
        verbose_name=_("tool"),
    )
    taken_at = models.DateTimeField(_("taken"))
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    room_t_c = models.DecimalField(
        _("room temperature"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    room_rh_pct = models.DecimalField(
        _("room humidity"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    raw = models.JSONField(default=dict)
    not_permitted = models.CharField(
        _("not done: not permitted, because"), max_length=200, blank=True
    )
    note = models.TextField(_("note"), max_length=2000, blank=True)
    saved_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True)

    covers = (
        Cover(
            plain=(
                "case number gauge subject phase round tool taken_at taken_by room_t_c "
                "room_rh_pct raw saved_at withdrawn_at"
            ),
            personal="not_permitted note",
        ),
    )

    objects = ReadingQuerySet.as_manager()

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="one_reading_a_number"),
            models.CheckConstraint(
                condition=Q(room_rh_pct__isnull=True) | Q(room_rh_pct__range=(0, 100)),
                name="reading_humidity_possible",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.case_id} {self.number} {self.gauge}"

    def get_absolute_url(self) -> str:
        return reverse("readings:detail", args=[self.case.number, self.number])

    @property
    def latest(self) -> Result | None:
        """The newest result; earlier ones stay beside it."""
        rows = list(self.results.all())
        return rows[-1] if rows else None


class Result(Vouched, WrittenOnce):
    """What one version of a gauge made of a reading."""

    reading = models.ForeignKey(Reading, models.PROTECT, related_name="results")
    version = models.CharField(max_length=40)
    output = models.JSONField()
    computed_at = models.DateTimeField()

    covers = (Cover(plain="reading version output computed_at"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.reading_id} by {self.version}"


class Verdict(Vouched, WrittenOnce):
    """One figure with its uncertainty, the limit it was held against (copied), and the word."""

    class Word(models.TextChoices):
        INSIDE = "inside", _("inside")
        DOUBTFUL = "doubtful", _("doubtful")
        OUTSIDE = "outside", _("outside")
        NOT_JUDGED = "not_judged", _("not judged")

    result = models.ForeignKey(Result, models.PROTECT, related_name="verdicts")
    figure = models.CharField(max_length=60)
    value = models.FloatField()
    u = models.FloatField(null=True)
    unit = models.CharField(max_length=12, blank=True)
    lower = models.FloatField(null=True)
    upper = models.FloatField(null=True)
    source = models.CharField(max_length=160, blank=True)
    word = models.CharField(max_length=10, choices=Word)

    covers = (Cover(plain="result figure value u unit lower upper source word"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["result", "figure"], name="one_verdict_a_figure")
        ]

    def __str__(self) -> str:
        return f"{self.figure}: {self.word}"


class Prescription(Vouched, WrittenOnce):
    """What to change and by how much, with uncertainty; a proposal, which a luthier decides on."""

    result = models.ForeignKey(Result, models.PROTECT, related_name="prescriptions")
    position = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=40)
    target = models.CharField(max_length=60, blank=True)
    amount = models.FloatField(null=True)
    u = models.FloatField(null=True)
    unit = models.CharField(max_length=12, blank=True)
    details = models.JSONField(default=dict)
    irreversible = models.BooleanField(default=False)

    covers = (Cover(plain="result position code target amount u unit details irreversible"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["result", "position"], name="one_prescription_a_place")
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.target}"
