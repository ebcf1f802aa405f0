"""Findings: what was seen, on which part, and the tags bound to it."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet
from repairs.findings.vocabulary import extent_words, term_definition, term_label
from repairs.instruments.scales import scale_label
from repairs.language.text import decimal_words


class FindingQuerySet(VouchedQuerySet["Finding"]):
    """Findings by whether they stand."""

    def present(self) -> FindingQuerySet:
        """Those that were not withdrawn, with part and instrument joined."""
        return self.filter(withdrawn_at=None).select_related("part__instrument")


class Finding(Vouched):
    """One thing seen on one part. Its number stays its own in the case, for ever."""

    class Severity(models.IntegerChoices):
        """How bad it is, from what only the maker sees to what ends the playing."""

        SLIGHT = 1, _("slight")
        MODERATE = 2, _("moderate")
        MAJOR = 3, _("major")
        EXTREME = 4, _("extreme")

    class Stability(models.TextChoices):
        """Whether it goes on by itself; what does cannot wait as long."""

        STABLE = "stable", _("stable")
        ACTIVE = "active", _("active: it goes on")
        UNKNOWN = "unknown", _("not known")

    class Age(models.TextChoices):
        """Whether it is an old damage or a new one: edges still clean, no dirt in it."""

        OLD = "old", _("old")
        NEW = "new", _("new")
        UNKNOWN = "unknown", _("not known")

    case = models.ForeignKey("repairs.Case", models.PROTECT, related_name="findings")
    number = models.PositiveSmallIntegerField(editable=False)
    part = models.ForeignKey(
        "repairs.Part", models.PROTECT, related_name="findings", verbose_name=_("part")
    )
    term = models.CharField(_("what is seen"), max_length=40)
    location = models.CharField(
        _("where on the part"),
        max_length=200,
        blank=True,
        help_text=_("Side, clock position, millimetres from an edge."),
    )
    extent_value = models.DecimalField(
        _("extent"),
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    extent_unit = models.CharField(_("unit"), max_length=12, blank=True)
    severity = models.PositiveSmallIntegerField(_("severity"), choices=Severity)
    stability = models.CharField(
        _("stability"), max_length=8, choices=Stability, default=Stability.UNKNOWN
    )
    age = models.CharField(_("old or new"), max_length=8, choices=Age, default=Age.UNKNOWN)
    urgency = models.PositiveSmallIntegerField(_("urgency"))
    cause = models.CharField(_("probable cause"), max_length=20, blank=True)
    note = models.TextField(_("note"), max_length=3000, blank=True)
    revision = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField()
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True)
    # Which tap on a photo noted it: sent again after a lost answer, it is known by this.
    tap = models.UUIDField(null=True, editable=False)

    covers = (
        Cover(
            plain=(
                "case number part term extent_value extent_unit severity stability age urgency "
                "cause revision changed_at changed_by withdrawn_at"
            ),
            personal="location note",
            free="tap",
        ),
    )

    objects = FindingQuerySet.as_manager()

    class Meta:
        verbose_name = _("finding")
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "tap"], name="one_finding_a_tap"),
            models.UniqueConstraint(fields=["case", "number"], name="one_finding_a_number"),
            models.CheckConstraint(
                condition=Q(severity__range=(1, 4)), name="finding_severity_1_to_4"
            ),
            models.CheckConstraint(
                condition=Q(urgency__range=(1, 4)), name="finding_urgency_1_to_4"
            ),
            models.CheckConstraint(
                condition=Q(extent_value__isnull=True) | ~Q(extent_unit=""),
                name="finding_extent_has_unit",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} — {self.term_label}, {self.part.label()}"

    def get_absolute_url(self) -> str:
        """The page on which it is changed."""
        return reverse("findings:edit", args=[self.case.number, self.number])

    @property
    def term_label(self) -> str:
        """The term of the damage in the reader's language."""
        return term_label(self.term)

    @property
    def definition(self) -> str:
        """What the vocabulary understands by the term."""
        return term_definition(self.term)

    @property
    def extent(self) -> str:
        """Number and unit as typed, in words; empty when it was not measured."""
        if self.extent_value is None:
            return ""
        return extent_words(decimal_words(self.extent_value), self.extent_unit)

    @property
    def urgency_label(self) -> str:
        """How soon to act, in words."""
        return scale_label("urgency", self.urgency)

    @property
    def cause_label(self) -> str:
        """What probably caused it, in words; empty when nobody said."""
        return scale_label("causes", self.cause) if self.cause else ""

    def values(self) -> dict[str, Any]:
        """What two people may have typed differently, by field."""
        names = (
            "part_id",
            "term",
            "location",
            "extent_value",
            "extent_unit",
            "severity",
            "stability",
            "age",
            "urgency",
            "cause",
            "note",
        )
        return {name: getattr(self, name) for name in names}


class FindingTag(Vouched):
    """Binds a tag of a photo to its finding; one finding may be seen on many photos."""

    finding = models.ForeignKey(Finding, models.PROTECT, related_name="tag_links")
    tag = models.OneToOneField("repairs.Tag", models.PROTECT, related_name="finding_link")

    covers = (Cover(plain="finding tag"),)

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.finding_id} ↔ {self.tag_id}"
