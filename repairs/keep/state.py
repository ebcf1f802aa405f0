"""How the house stands with its backups, for the bench and for the page of the principal."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.conf import settings

from repairs.keep.models import KeepRun

DRILL_DAYS = 365  # common practice: once a year, when the keepers are in the house anyway


@dataclass(frozen=True)
class KeepState:
    """The last good backup and drill, what the last try said, and what was agreed."""

    place: str
    hour: str
    keep_n: int
    most_days: int
    keepers_n: int
    has_passphrase: bool
    good: KeepRun | None
    last: KeepRun | None
    drill: KeepRun | None
    now: dt.datetime

    @property
    def is_set_up(self) -> bool:
        """Whether the server makes backups by itself."""
        return bool(self.place)

    @property
    def is_encrypted(self) -> bool:
        """Whether those are encrypted."""
        return bool(self.keepers_n) or self.has_passphrase

    @property
    def days_old(self) -> int:
        """Whole days since the last good backup; 0 without one."""
        return (self.now - self.good.begun_at).days if self.good else 0

    @property
    def is_old(self) -> bool:
        """Whether the last good one is older than agreed, or there is none."""
        if self.good is None:
            return True
        return self.now - self.good.begun_at > dt.timedelta(days=self.most_days)

    @property
    def trouble(self) -> str:
        """What the last try said went wrong; empty after a good one without remarks."""
        return self.last.trouble if self.last else ""

    @property
    def wants_drill(self) -> bool:
        """Whether it is time to try a restore."""
        if self.good is None:
            return False
        return self.drill is None or (self.now - self.drill.begun_at).days > DRILL_DAYS

    @property
    def is_well(self) -> bool:
        """Whether there is nothing to shout about."""
        return not self.is_old and not self.trouble


def keep_state(now: dt.datetime) -> KeepState:
    """The present state: three rows at most."""
    backup, drill = KeepRun.Sort.BACKUP, KeepRun.Sort.DRILL
    last = KeepRun.objects.last(backup)
    good = last if last and last.is_good else KeepRun.objects.last_good(backup)
    return KeepState(
        settings.BACKUP_TO,
        settings.BACKUP_AT,
        settings.BACKUP_KEEP,
        settings.BACKUP_MOST_DAYS,
        len(set(settings.BACKUP_RECIPIENTS)),
        bool(settings.BACKUP_PASSPHRASE_FILE),
        good,
        last,
        KeepRun.objects.last_good(drill),
        now,
    )
