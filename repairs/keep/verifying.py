"""Read the files of the house back against their hashes and the database; mend what can be.

Reading changes nothing but what is written down of the reading itself: when each file was read,
what was found, and the hash of a smaller picture of a former release that was made again from its
original and is the same.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db import transaction
from django.utils import timezone

from repairs.keep.looking import Found, Known, judged, known_files, longest_unchecked, orphans
from repairs.keep.mending import AT_ONCE, aside, mend
from repairs.keep.sources import Source, first_of, folder_source
from repairs.keep.store_models import FileCheck, StoreCheck
from repairs.storage.rows import chunked

# A file is read back every 25 nights.
NIGHTLY_PCT = 4


@dataclass
class Report:
    """What a walk found; names as they lie in the store."""

    share_pct: int
    known_n: int = 0
    read_n: int = 0
    read_bytes: int = 0
    found: dict[str, str] = field(default_factory=dict)
    proved: set[str] = field(default_factory=set)
    healed: set[str] = field(default_factory=set)

    def of(self, found: str) -> list[str]:
        """The names of which that was found."""
        return sorted(name for name, what in self.found.items() if what == found)


def verify(
    *, share_pct: int = 100, heal: bool = False, source: Source | None = None, at: dt.datetime
) -> Report:
    """Read that share of the files, those first that were read longest ago; heal when asked to.

    ``source`` finds a file by its hash, as a bundle does; what was set aside is looked at before.
    """
    known = known_files()
    report = Report(share_pct, known_n=len(known))
    names = longest_unchecked(known, share_pct)
    _read(known, names, report)
    _prove(known, report)
    if heal:
        from_aside = folder_source(aside())
        _heal(known, report, first_of(from_aside, source) if source else from_aside)
    _drop_what_went(known, report)
    report.found |= dict.fromkeys(orphans(known, at), Found.ORPHANED)
    _write_down(known, names, report, at)
    return report


def _read(known: dict[str, Known], names: Iterable[str], report: Report) -> None:
    for name in names:
        kept = known[name].kept
        found, size = judged(kept)
        report.read_n += 1
        report.read_bytes += size
        if not found and not kept.is_used:
            found = Found.UNREFERENCED
        if found:
            report.found[name] = found


def _prove(known: dict[str, Known], report: Report) -> None:
    """Files without a known hash, from a former release: held against one that is made anew."""
    unproved = [name for name in report.of(Found.CHANGED) if not known[name].kept.sha256]
    for names in chunked(unproved, AT_ONCE):
        prove = known[names[0]].shelf.prove
        if prove is not None:
            report.proved |= prove(names)
    for name in report.proved:
        del report.found[name]


def _heal(known: dict[str, Known], report: Report, source: Source) -> None:
    harmed = report.of(Found.MISSING) + report.of(Found.CHANGED)
    # Originals before what is made of them.
    harmed.sort(key=lambda name: known[name].shelf.make_anew is not None)
    report.healed = mend([known[name] for name in harmed], source)
    for name in report.healed:
        report.found.pop(name)


def _drop_what_went(known: dict[str, Known], report: Report) -> None:
    """A file that was let go while we read is not missing: its row is asked once more."""
    for name in [*report.of(Found.MISSING), *report.of(Found.UNREFERENCED)]:
        if not known[name].shelf.knows(name):
            del report.found[name]


def _write_down(
    known: dict[str, Known], names: list[str], report: Report, begun_at: dt.datetime
) -> None:
    with transaction.atomic():
        _write_found(known, names, report.found, begun_at)
        StoreCheck.objects.create(
            begun_at=begun_at,
            ended_at=timezone.now(),
            share_pct=report.share_pct,
            known_n=report.known_n,
            read_n=report.read_n,
            read_bytes=report.read_bytes,
            healed_n=len(report.healed),
        )


def _write_found(
    known: dict[str, Known], names: list[str], found: dict[str, str], at: dt.datetime
) -> None:
    # Orphans that went, and files that nobody names any more.
    gone = set(FileCheck.objects.values_list("name", flat=True)) - known.keys() - found.keys()
    for batch in chunked(gone, AT_ONCE):
        FileCheck.objects.filter(name__in=batch).delete()
    FileCheck.objects.bulk_create(
        [
            FileCheck(
                name=name,
                folder=name.partition("/")[0],
                checked_at=at,
                found=found.get(name, ""),
            )
            for name in {*names, *found}
        ],
        batch_size=500,
        update_conflicts=True,
        unique_fields=["name"],
        update_fields=["checked_at", "found"],
    )
