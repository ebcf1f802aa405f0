"""Looking over: which parts were looked at, and the judgement of the whole."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from repairs.instruments.scales import scale_label


class Examination(models.Model):
    """The look over one case as a whole: who, when, by which light, and the general judgement."""

    case = models.OneToOneField("repairs.Case", models.PROTECT, related_name="examination")
    examiner = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", verbose_name=_("examined by")
    )
    examined_on = models.DateField(_("examined on"))
    place = models.CharField(_("where"), max_length=160, blank=True)
    methods = models.TextField(
        _("light and methods"),
        max_length=1000,
        blank=True,
        help_text=_("Daylight, raking light, lens, mirror, lamp inside, ultraviolet, gauges."),
    )
    room_t_c = models.DecimalField(
        _("room temperature"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    room_rh_pct = models.DecimalField(
        _("room humidity"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    rh_history = models.CharField(
        _("what climate it lived in"),
        max_length=300,
        blank=True,
        help_text=_("As far as the owner knows: heating, attic, case, humidifier."),
    )
    overall_grade = models.CharField(_("overall state"), max_length=1, blank=True)
    overall_state = models.TextField(_("overall state in words"), max_length=3000, blank=True)
    urgency = models.CharField(_("urgency"), max_length=1, blank=True)
    playable_state = models.TextField(
        _("playable state"),
        max_length=1500,
        blank=True,
        help_text=_("What plays and what does not; or that it was not tried, and why."),
    )
    played_by = models.CharField(_("tried by"), max_length=160, blank=True)
    hazards = models.JSONField(_("hazards"), default=list, blank=True)
    hazards_note = models.TextField(_("hazards: what was seen"), max_length=1000, blank=True)
    previous_repairs = models.TextField(_("earlier repairs"), max_length=3000, blank=True)
    alterations = models.TextField(_("alterations"), max_length=2000, blank=True)
    advice = models.TextField(_("advice"), max_length=3000, blank=True)
    handling = models.TextField(
        _("handling until then"),
        max_length=1500,
        blank=True,
        help_text=_("How to carry, keep and not use it."),
    )
    transport = models.TextField(
        _("packing and transport"),
        max_length=1500,
        blank=True,
        default="",
        db_default="",
        help_text=_("How it is to be packed and carried: slack, loose parts off, cased, flat."),
    )
    light = models.CharField(
        _("limits of light"),
        max_length=300,
        blank=True,
        default="",
        db_default="",
        help_text=_("Where it is shown or kept: 50 lux, no sun, so many hours."),
    )
    proposal = models.TextField(_("proposed treatment"), max_length=3000, blank=True)
    alternatives = models.TextField(_("alternatives"), max_length=2000, blank=True)
    risk = models.TextField(_("risks"), max_length=2000, blank=True)
    reversibility = models.TextField(_("reversibility"), max_length=1500, blank=True)
    next_check_on = models.DateField(_("next check"), null=True, blank=True)
    no_photo_reason = models.CharField(
        _("why there is no photo"),
        max_length=300,
        blank=True,
        help_text=_("Needed only when the report has none."),
    )
    revision = models.PositiveIntegerField(default=0)
    changed_at = models.DateTimeField()
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        verbose_name = _("examination")
        constraints = [
            models.CheckConstraint(
                condition=Q(room_rh_pct__isnull=True) | Q(room_rh_pct__range=(0, 100)),
                name="examination_humidity_possible",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.case_id} {self.examined_on}"

    @property
    def grade_label(self) -> str:
        """The overall grade in words; empty until it is given."""
        return scale_label("overall_grade", self.overall_grade) if self.overall_grade else ""


class PartLook(models.Model):
    """One part of the instrument in this case: looked at, or not, and why not."""

    class State(models.TextChoices):
        """Looked at, or not possible; a part without a row was not spoken of."""

        LOOKED = "looked", _("looked at")
        NOT_EXAMINED = "not_examined", _("could not be examined")

    case = models.ForeignKey("repairs.Case", models.PROTECT, related_name="looks")
    part = models.ForeignKey("repairs.Part", models.PROTECT, related_name="looks")
    state = models.CharField(max_length=12, choices=State)
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["part__position"]
        constraints = [
            models.UniqueConstraint(fields=["case", "part"], name="one_look_a_part"),
            models.CheckConstraint(
                condition=~Q(state="not_examined") | ~Q(why=""), name="not_examined_says_why"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part_id}: {self.state}"
