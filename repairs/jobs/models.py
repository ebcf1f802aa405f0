"""Work in the background: a table, a lease, a count of attempts."""

from __future__ import annotations

import datetime as dt
import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from repairs.language.text import spoken


class JobQuerySet(models.QuerySet["Job"]):
    """Jobs by whether somebody may take them up."""

    def claimable(self, now: dt.datetime) -> JobQuerySet:
        """Jobs that wait, and running ones whose worker stopped renewing its lease."""
        # An index on state and time answers this; the queue is asked twice a second for ever.
        waiting = Q(state=Job.State.WAITING, not_before__lte=now)
        abandoned = Q(state=Job.State.RUNNING, lease_until__lt=now)
        return self.filter(waiting | abandoned).order_by("pk")

    def open(self) -> JobQuerySet:
        """Those that are not over yet."""
        return self.filter(state__in=Job.OPEN)

    def failed(self) -> JobQuerySet:
        """Those that could not be done and that nobody has let go, the newest first."""
        return self.filter(state=Job.State.FAILED, let_go_at=None).order_by("-finished_at", "-pk")


class Job(models.Model):
    """One call of a registered job. Jobs are written so that running one twice does no harm."""

    class State(models.TextChoices):
        """From waiting to done or failed; a failed job is tried again a few times first."""

        WAITING = "waiting", _("waiting")
        RUNNING = "running", _("under way")
        DONE = "done", _("done")
        FAILED = "failed", _("failed")

    OPEN = (State.WAITING, State.RUNNING)

    uuid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    name = models.CharField(max_length=60)
    # Keys of rows and plain values only: what a job needs is read when it runs, not when it was
    # asked for.
    arguments = models.JSONField(default=dict)
    owner = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    worker = models.CharField(max_length=80, blank=True)
    lease_until = models.DateTimeField(null=True)
    not_before = models.DateTimeField()
    progress_done = models.PositiveIntegerField(default=0)
    progress_total = models.PositiveIntegerField(default=0)
    message = models.TextField(blank=True)
    # A key of ``troubles``, said in the language of whoever reads it; empty after a refusal.
    trouble = models.CharField(max_length=16, blank=True, default="", db_default="")
    result = models.JSONField(default=dict)
    created_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)
    let_go_at = models.DateTimeField(null=True)

    objects = JobQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["state", "not_before"], name="job_queue")]

    def __str__(self) -> str:
        return f"{self.name} ({self.state})"

    @property
    def language(self) -> str:
        """The language of the person who asked for it: what it says at its end is for them."""
        return spoken(getattr(self.owner, "language", ""))

    @property
    def is_over(self) -> bool:
        """Whether nothing will come of it any more, well or ill."""
        return self.state in (self.State.DONE, self.State.FAILED)

    @property
    def progress_pct(self) -> int:
        """How much is done, in whole per cent; 0 while nobody knows how much there is."""
        return 100 * self.progress_done // self.progress_total if self.progress_total else 0


class Chore(models.Model):
    """What the house does by itself once a day, and the day on which it was last begun."""

    name = models.CharField(max_length=60, unique=True)
    begun_on = models.DateField()

    def __str__(self) -> str:
        return f"{self.name} ({self.begun_on})"
