"""Photos on their way: bytes that come in pieces."""

from __future__ import annotations

import uuid
from pathlib import Path

from django.conf import settings
from django.db import models

from repairs.photos.models import Carries, Photo
from repairs.storage import files as store


class Upload(models.Model):
    """A file on its way, in pieces; what arrived is kept until the rest follows."""

    uuid = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    case = models.ForeignKey("repairs.Case", models.CASCADE, related_name="uploads")
    name = models.CharField(max_length=200)
    size_bytes = models.PositiveBigIntegerField()
    modified = models.CharField(max_length=40, blank=True)
    phase = models.CharField(max_length=8, choices=Photo.Phase)
    view = models.CharField(max_length=20, blank=True)
    carries = models.CharField(max_length=8, blank=True, choices=Carries, default="", db_default="")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    begun_at = models.DateTimeField()
    photo = models.OneToOneField(Photo, models.CASCADE, null=True, related_name="upload")

    def __str__(self) -> str:
        return self.name

    @property
    def path(self) -> Path:
        """Where its bytes are gathered until they are whole."""
        return store.path_of(f"inbox/{self.uuid}")

    @property
    def offset(self) -> int:
        """How many bytes have come, so that a broken upload goes on from there."""
        return self.path.stat().st_size if self.path.exists() else 0
