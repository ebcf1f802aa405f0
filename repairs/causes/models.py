"""What it was: the cause or causes that somebody confirmed at the bench, said once or anew."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from repairs.storage.rows import KeptForEver

MOST_WORDS = 200


class WhatItWas(KeptForEver):
    """“It was this”: the last one of a case stands, those before it stay to be read.

    ``causes`` holds keys of the table of causes; none where it was none of them, and then ``words``
    may say what it was. ``heard`` and ``denied`` are the symptoms as they were told when it was
    said, from which closed cases learn how often a cause is heard by them.
    """

    case = models.ForeignKey("repairs.Case", models.PROTECT, related_name="what_it_was")
    causes = models.JSONField()
    words = models.CharField(max_length=MOST_WORDS, blank=True)
    heard = models.JSONField()
    denied = models.JSONField()
    version = models.CharField(max_length=40)  # of the search whose page it was said on
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    # Each form that was shown bears a name of its own: sent twice, it is kept once.
    tap = models.UUIDField(unique=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.case_id}: {', '.join(self.causes) or '—'}"
