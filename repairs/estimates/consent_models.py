"""Consent: the owner's decision on what was shown, and the link by which it may be given."""

from __future__ import annotations

import datetime as dt

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet
from repairs.estimates.models import Estimate, Option
from repairs.storage.rows import WrittenOnce


class ConsentLink(models.Model):
    """An address that shows one issued estimate and takes one decision. Only its hash is kept."""

    estimate = models.ForeignKey(Estimate, models.PROTECT, related_name="links")
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    expires_at = models.DateTimeField()
    first_opened_at = models.DateTimeField(null=True)
    used_at = models.DateTimeField(null=True)
    revoked_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"link to {self.estimate_id}"

    def is_open(self, at: dt.datetime) -> bool:
        """Whether it may still be opened, as far as the link alone can tell."""
        return self.used_at is None and self.revoked_at is None and at < self.expires_at


class Consent(Vouched, WrittenOnce):
    """A decision of the owner, with exactly what was shown. Never changed; a later one replaces."""

    class Decision(models.TextChoices):
        """Agreed to one option, or declined all of them."""

        AGREED = "agreed", _("agreed")
        DECLINED = "declined", _("declined")

    class How(models.TextChoices):
        """By which way the owner said it; it decides what proof is kept."""

        PREMISES = "premises", _("on the premises, signed")
        LINK = "link", _("by the link")
        TELEPHONE = "telephone", _("by telephone")
        MESSAGE = "message", _("by message")

    case = models.ForeignKey("repairs.Case", models.PROTECT, related_name="consents")
    number = models.PositiveSmallIntegerField(editable=False)
    estimate = models.ForeignKey(Estimate, models.PROTECT, related_name="consents")
    option = models.ForeignKey(
        Option, models.PROTECT, null=True, related_name="consents", verbose_name=_("option")
    )
    decision = models.CharField(_("decision"), max_length=8, choices=Decision)
    how = models.CharField(_("how"), max_length=10, choices=How)
    name = models.CharField(_("name of the person who decides"), max_length=160)
    signature = models.JSONField(default=list)
    words = models.TextField(_("words agreed"), max_length=1500, blank=True)
    confirmation = models.CharField(
        _("confirmation sent"), max_length=200, blank=True, help_text=_("How and when.")
    )
    irreversible_agreed = models.BooleanField(default=False)
    link = models.OneToOneField(ConsentLink, models.PROTECT, null=True, related_name="consent")
    shown = models.JSONField()
    shown_sha256 = models.CharField(max_length=64)
    said_at = models.DateTimeField(_("when"))
    noted_at = models.DateTimeField()
    noted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )

    covers = (
        Cover(
            plain=(
                "case number estimate option decision how irreversible_agreed link shown_sha256 "
                "said_at noted_at noted_by"
            ),
            personal="name signature words confirmation shown",
        ),
    )

    objects = VouchedQuerySet.as_manager()

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["case", "number"], name="one_consent_a_number"),
            models.CheckConstraint(
                condition=~Q(decision="agreed") | Q(option__isnull=False),
                name="agreed_consent_has_its_option",
            ),
            models.CheckConstraint(
                condition=~Q(how__in=["telephone", "message"]) | ~Q(words=""),
                name="spoken_consent_has_its_words",
            ),
            models.CheckConstraint(
                condition=~Q(how="link") | Q(link__isnull=False),
                name="consent_by_link_has_its_link",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.case_id} c{self.number} {self.decision}"

    def get_absolute_url(self) -> str:
        """The page that shows the decision beside what was shown."""
        return reverse("estimates:consent", args=[self.case.number, self.number])
