"""Forms that were sent: so that a second post of the same page lands on what the first one did."""

from __future__ import annotations

from django.db import models


class SentForm(models.Model):
    """One sent form, by the hash of its one-time token; swept after some days.

    It is no record of the workshop: what a form did stands in its own rows and in the log.
    """

    class State(models.TextChoices):
        """How far it is. ``KEPT`` is written in the transaction of the deed itself."""

        RUNNING = "running"
        KEPT = "kept"

    token_hash = models.CharField(max_length=64, unique=True)
    # Of the rest of the form, keyed with the token, which is not kept: it tells same words from
    # others, and no word can be guessed from it.
    words_hash = models.CharField(max_length=64)
    state = models.CharField(max_length=8, choices=State.choices, default=State.RUNNING)
    attempt = models.UUIDField()
    location = models.CharField(max_length=2000, blank=True)
    # What the first post put into the visit of somebody who has no account.
    visit = models.JSONField(default=dict)
    at = models.DateTimeField(db_index=True)

    def __str__(self) -> str:
        return f"{self.token_hash[:8]} {self.state}"
