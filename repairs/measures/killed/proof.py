"""What must be true of the house whenever a process was killed in it."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from django.utils import timezone

from repairs.audit.checking import Count, all_faults
from repairs.keep.store_models import FileCheck
from repairs.keep.sweeping import leftovers, sweep
from repairs.keep.verifying import verify
from repairs.screens.once import DEAD_AFTER
from repairs.screens.once_models import SentForm

Found = FileCheck.Found
LATER = dt.timedelta(days=2)
WITH_WORDS = (503, 507)  # the rules or the database cannot be reached, the disk is full: it is said
TOLD = 20


@dataclass
class Tally:
    """How many kills were tried, and what was found wrong."""

    counts: Counter[str] = field(default_factory=Counter)
    told: list[str] = field(default_factory=list)

    def wrong(self, what: str, words: Iterable[str]) -> None:
        """Something that must not be, of the sorts lost, twice, half, or answered."""
        for one in words:
            self.counts[what] += 1
            if len(self.told) < TOLD:
                self.told.append(f"{what}: {one}")

    def answered(self, status: int, about: str) -> None:
        """An answer; a fault of the server is none."""
        self.counts["answers"] += 1
        if status >= 500 and status not in WITH_WORDS:
            self.wrong("five_hundreds", [f"{status} {about}"])


def hold(tally: Tally) -> None:
    """The log proves all rows, and every file that a row names is there and the same."""
    tally.counts["proofs"] += 1
    tally.wrong("half", (str(fault) for fault in all_faults(Count())))
    report = verify(at=timezone.now())
    for found in (Found.MISSING, Found.CHANGED, Found.UNREFERENCED):
        tally.wrong("lost", (f"{found}: {name}" for name in report.of(found)))


def hold_swept(tally: Tally) -> None:
    """The same once a day has passed and the sweep came: then nothing is left over."""
    later = timezone.now() + LATER
    tally.counts["swept"] += len(sweep(later))
    tally.wrong("orphans", (f"{one.what}: {one.name}" for one in leftovers(later)))
    hold(tally)
    tally.wrong("orphans", verify(at=later).of(Found.ORPHANED))


def two_minutes_pass() -> None:
    """For the forms of processes that were killed: nobody waits for them any more."""
    SentForm.objects.filter(location="").update(at=timezone.now() - 2 * DEAD_AFTER)
