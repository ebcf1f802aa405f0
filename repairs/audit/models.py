"""The log of who did what to what: append-only, hash-chained, free of personal values."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from repairs.storage.rows import KeptForEver


class LogEntry(KeptForEver):
    """One line of the log. ``details`` holds ids, verbs and salted hashes, never a person's value.

    The hash covers the line and the hash of the line before, so that a change, a removal or an
    insertion anywhere breaks every later line. ``vouched`` is the digest of the vouchers of all
    rows that were written with it; empty where none were.
    """

    seq = models.PositiveBigIntegerField(primary_key=True)
    at = models.DateTimeField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    verb = models.CharField(max_length=60)
    subject = models.CharField(max_length=80, db_index=True)
    details = models.JSONField(default=dict)
    vouched = models.CharField(max_length=64, blank=True, default="", db_default="")
    previous_hash = models.CharField(max_length=64)
    hash = models.CharField(max_length=64, unique=True)

    class Meta:
        ordering = ["seq"]

    def __str__(self) -> str:
        return f"{self.seq} {self.verb} {self.subject}"


class LogHead(models.Model):
    """The end of the chain: a single row that every writer locks, last in its transaction."""

    seq = models.PositiveBigIntegerField(default=0)
    hash = models.CharField(max_length=64, default="0" * 64)

    def __str__(self) -> str:
        return f"head at {self.seq}"


class LogSalt(models.Model):
    """The salt of one line's hashed values. Erasing it makes the values unguessable for ever,
    while the chain stays valid."""

    entry = models.OneToOneField(LogEntry, models.CASCADE, primary_key=True, related_name="salt")
    value = models.CharField(max_length=32)

    def __str__(self) -> str:
        return f"salt of {self.entry_id}"


class Voucher(KeptForEver):
    """What one row said when a line of the log was written: the line vouches for it.

    The newest voucher of a row counts. ``digest`` covers what is no person's value, ``personal``
    the rest, with a salt of its own: once that is erased the rest can neither be guessed nor
    checked. Both empty: the row was removed by the deed.
    """

    entry = models.ForeignKey(LogEntry, models.PROTECT, related_name="vouchers")
    table = models.CharField(max_length=30)
    row = models.BigIntegerField()
    cover = models.PositiveSmallIntegerField()
    digest = models.CharField(max_length=64, blank=True)
    personal = models.CharField(max_length=64, blank=True)
    salt = models.CharField(max_length=32, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["table", "row", "entry"], name="one_voucher_a_line")
        ]

    def __str__(self) -> str:
        return f"{self.table} {self.row} by line {self.entry_id}"


class Tally(models.Model):
    """Things that a stranger can repeat as he likes, counted by the hour instead of told each."""

    verb = models.CharField(max_length=60)
    subject = models.CharField(max_length=80)
    hour = models.DateTimeField()
    count = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["verb", "subject", "hour"], name="one_tally_an_hour")
        ]

    def __str__(self) -> str:
        return f"{self.verb} {self.subject}: {self.count}"
