"""Issued papers. The press knows no case and no invoice: only bytes, data, version and hash."""

from __future__ import annotations

import uuid
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from repairs.audit.covers import Cover
from repairs.audit.vouched import Vouched, VouchedQuerySet
from repairs.press.kinds import LONGEST_KEY, label_of

MOST_WORDS = 8  # that are looked for; a pasted page is none


class PaperQuerySet(VouchedQuerySet["Paper"]):
    """Issued papers by what they are about."""

    def about(self, kind: str, subject: str) -> PaperQuerySet:
        """All versions of one paper, the newest first."""
        return self.filter(kind=kind, subject=subject).order_by("-version")

    def matching(self, words: str) -> PaperQuerySet:
        """Those in which each word stands: title, what it is about, or the printed code."""
        found = self
        for word in words.replace("\0", "").split()[:MOST_WORDS]:
            found = found.filter(
                Q(title__icontains=word) | Q(subject__icontains=word) | Q(code__icontains=word)
            )
        return found

    def current(self, kind: str, subject: str) -> Paper | None:
        """The newest version, or None when it was never issued."""
        return self.about(kind, subject).first()


class Paper(Vouched):
    """One issued PDF: never changed, replaced by a new version that names it."""

    uuid = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=LONGEST_KEY)
    subject = models.CharField(max_length=80)
    title = models.CharField(max_length=200)
    language = models.CharField(max_length=2)
    version = models.PositiveSmallIntegerField()
    replaces = models.OneToOneField("self", models.PROTECT, null=True, related_name="replaced_by")
    code = models.CharField(max_length=20, unique=True)
    sha256 = models.CharField(max_length=64, unique=True)
    file_name = models.CharField(max_length=160)
    size_bytes = models.PositiveIntegerField()
    pages = models.PositiveSmallIntegerField()
    data = models.JSONField()
    renderer = models.CharField(max_length=40)
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    covers = (
        Cover(
            plain=(
                "uuid kind subject language version replaces code sha256 file_name size_bytes "
                "pages renderer issued_at issued_by"
            ),
            personal="title data",
        ),
    )

    objects = PaperQuerySet.as_manager()

    class Meta:
        ordering = ["-issued_at", "-pk"]
        indexes = [models.Index(fields=["subject", "kind"], name="paper_subject")]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "subject", "version"], name="one_paper_a_version"
            )
        ]

    def __str__(self) -> str:
        return f"{self.title} v{self.version}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write the paper once. Raises TypeError for a change: a later issue is a new version."""
        if not self._state.adding:
            raise TypeError("An issued paper never changes. Issue a new version instead.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Raises TypeError: who holds the PDF must always be told of it."""
        raise TypeError("An issued paper is never removed.")

    @property
    def kind_label(self) -> str:
        """What the paper is called; a kind that no room knows any more is shown by its key."""
        return label_of(self.kind)

    @property
    def is_current(self) -> bool:
        """Whether no later version replaces it; ask with ``replaced_by`` joined."""
        return not hasattr(self, "replaced_by")


class PaperDraft(models.Model):
    """A preview: the data that was compiled, and the watermarked PDF made of it."""

    uuid = models.UUIDField(unique=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=LONGEST_KEY)
    subject = models.CharField(max_length=80, db_index=True)
    language = models.CharField(max_length=2)
    fingerprint = models.CharField(max_length=64)
    file_name = models.CharField(max_length=160, blank=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    code = models.CharField(max_length=20)
    paper = models.OneToOneField(Paper, models.PROTECT, null=True, related_name="draft")

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"{self.kind} of {self.subject} (preview)"
