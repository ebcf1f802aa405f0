"""Dangers that an instrument carries: noted once, kept for ever, lifted only with a reason."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from repairs.instruments.scales import scale_label
from repairs.storage.rows import KeptForEver


class HazardQuerySet(models.QuerySet["HazardNoted"]):
    """Hazards by whether somebody lifted them."""

    def with_lift(self) -> HazardQuerySet:
        """All rows, the newest first, each with who noted it and who lifted it."""
        return self.select_related("noted_by", "lift__lifted_by").order_by("-noted_at", "-pk")

    def standing(self) -> HazardQuerySet:
        """Those that nobody has lifted, the newest first, with who noted them."""
        return self.filter(lift=None).select_related("noted_by").order_by("-noted_at", "-pk")


class HazardNoted(KeptForEver):
    """A danger of one instrument, as one person noted it on one day.

    It belongs to the instrument and not to the stay: a residue of lindane outlives the docket in
    which it was first seen, and the next person to open the case must be told before, not after.
    A surer finding of the same danger (suspected, then analysed) is another row.
    """

    class Evidence(models.TextChoices):
        """How surely it is known: most pesticides cannot be seen, only analysed."""

        SUSPECTED = "suspected", _("suspected")
        SEEN = "seen", _("seen")
        ANALYSED = "analysed", _("analysed by a laboratory")

    instrument = models.ForeignKey(
        "repairs.Instrument", models.PROTECT, related_name="hazard_rows", verbose_name=_("number")
    )
    key = models.CharField(_("hazard"), max_length=40)
    evidence = models.CharField(
        _("how it is known"), max_length=10, choices=Evidence, default=Evidence.SUSPECTED
    )
    note = models.TextField(
        _("what was seen, and where"),
        max_length=1000,
        blank=True,
        help_text=_("White bloom in the lining of the case, solder on a fitting, a tuft of wire."),
    )
    # A number and no relation: the register of instruments stands below the cases.
    case_number = models.CharField(max_length=20, blank=True, editable=False)
    noted_at = models.DateTimeField(editable=False)
    noted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False
    )

    objects = HazardQuerySet.as_manager()

    class Meta:
        verbose_name = _("hazard")
        ordering = ["-noted_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.instrument_id} {self.key}"

    @property
    def label(self) -> str:
        """The hazard in the reader's language."""
        return scale_label("hazards", self.key)

    @property
    def lifted(self) -> HazardLifted | None:
        """Who lifted it and why; None while it stands."""
        found: HazardLifted | None = getattr(self, "lift", None)
        return found


class HazardLifted(KeptForEver):
    """That a danger is no more: who says so, when, and why (analysed, removed, sealed in)."""

    hazard = models.OneToOneField(HazardNoted, models.PROTECT, related_name="lift")
    because = models.TextField(_("why it is no longer a danger"), max_length=1000)
    lifted_at = models.DateTimeField(editable=False)
    lifted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False
    )

    class Meta:
        verbose_name = _("lifted hazard")
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(because=""), name="hazard_lifted_says_why"),
        ]

    def __str__(self) -> str:
        return f"{self.hazard_id}: {self.because}"
