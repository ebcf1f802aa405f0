"""A map of parts laid over a photo: from then on a tap on the photo knows which part it means."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _


class LaidMap(models.Model):
    """The places of a photo that were tapped for the anchors of a map; the fit is computed anew."""

    photo = models.OneToOneField("repairs.Photo", models.PROTECT, related_name="laid_map")
    map = models.CharField(max_length=40)
    taps = models.JSONField()  # {anchor: [x, y]} in shares of the upright photo's width and height
    laid_at = models.DateTimeField()
    laid_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        verbose_name = _("map laid over a photo")

    def __str__(self) -> str:
        return f"{self.map} on {self.photo_id}"
