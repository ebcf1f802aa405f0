"""Numbers without a gap: one lock for each series, held over proposal, print and validation.

Printing and validating take seconds, and must not hold the write lock of the database. A number is
therefore proposed under a lock of its own, and counts only once the transaction that keeps the
invoice is written. A crash before that gives the lock back and uses no number.
"""

from __future__ import annotations

import datetime as dt
import fcntl
import hashlib
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from django.conf import settings
from django.db import connection
from django.db.models import Max
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from repairs.audit.level import took
from repairs.invoices.numbers import INVOICES, written
from repairs.invoices.refusals import ClockSetBackError, NumberTakenError, SeriesBusyError
from repairs.invoices.series_models import InvoiceSeries

# One issue takes a few seconds of printing, so this is a long queue; whoever waits longer is told
# so rather than left before a dead page.
PATIENCE_S = 120.0
PAUSE_S = 0.02


@dataclass(frozen=True)
class Place:
    """A proposed place in a series. It binds nobody until it is kept."""

    prefix: str
    year: int
    sequence: int

    @property
    def number(self) -> str:
        """The number as it stands on paper."""
        return written(self.prefix, self.year, self.sequence)


@contextmanager
def alone(prefix: str, *, patience_s: float = PATIENCE_S) -> Iterator[None]:
    """Let one at a time work on the series, of all threads, processes and machines of the house.

    The system gives the lock back when its holder dies: PostgreSQL with the connection, the file
    lock with the process. Raises SeriesBusyError when waiting for it takes too long.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            key = _key(prefix)
            _wait(lambda: _ask(cursor, "SELECT pg_try_advisory_lock(%s)", key), prefix, patience_s)
            try:
                yield
            finally:
                _ask(cursor, "SELECT pg_advisory_unlock(%s)", key)
        return
    with _lock_file(prefix).open("a") as handle:
        _wait(lambda: _lock(handle), prefix, patience_s)
        yield  # closing the file gives the lock back


def propose(prefix: str, at: dt.datetime) -> Place:
    """The next place of the series, to be called alone.

    Raises ClockSetBackError when something was issued in any year of this series after ``at``.
    """
    rows = InvoiceSeries.objects.filter(prefix=prefix)
    latest = rows.aggregate(latest=Max("last_at"))["latest"]
    # In any year of the series, not only this one: a clock set back over New Year would open last
    # year's numbers again (CGI ann. II 242 nonies A I-7°: one continuous sequence).
    if latest is not None and at < latest:
        raise ClockSetBackError(now=_to_the_second(at), last=_to_the_second(latest))
    # The year as the house's calendar has it: an invoice at half past midnight in Paris is still
    # yesterday's in UTC, and its number would bear last year.
    year = timezone.localtime(at).year
    row = rows.filter(year=year).first()
    return Place(prefix, year, row.last + 1 if row else 1)


def _to_the_second(moment: dt.datetime) -> str:
    """Day and time for a reader; two papers may be issued within one minute."""
    local = timezone.localtime(moment)
    said = {"day": date_format(local, "DATE_FORMAT"), "time": date_format(local, "H:i:s")}
    return _("%(day)s at %(time)s") % said


def take(place: Place, at: dt.datetime) -> InvoiceSeries:
    """Use the place up, inside the transaction that keeps the invoice."""
    # Two writers may both find no row of a new year; the unique constraint lets one in and the
    # other reads it. Only then is there a row to lock.
    InvoiceSeries.objects.get_or_create(prefix=place.prefix, year=place.year)
    row = InvoiceSeries.objects.select_for_update().get(prefix=place.prefix, year=place.year)
    # The advisory lock should make this impossible; it is asked all the same, as a lock on a file
    # share is only as good as the share, and a number twice is not to be mended.
    if row.last + 1 != place.sequence:
        raise NumberTakenError(number=place.number)
    took(INVOICES, place.prefix, place.year, number=place.sequence)
    row.last, row.last_at = place.sequence, at
    row.save(update_fields=["last", "last_at"])
    return row


def _wait(taken: Callable[[], bool], prefix: str, patience_s: float) -> None:
    until = time.monotonic() + patience_s
    while not taken():
        if time.monotonic() > until:
            raise SeriesBusyError(prefix=prefix)
        time.sleep(PAUSE_S)


def _ask(cursor: object, question: str, key: int) -> bool:
    cursor.execute(question, [key])  # type: ignore[attr-defined]
    return bool(cursor.fetchone()[0])  # type: ignore[attr-defined]


def _key(prefix: str) -> int:
    """A number of 63 bits for PostgreSQL, which locks numbers rather than names."""
    digest = hashlib.sha256(f"sautereau invoice series {prefix}".encode()).digest()
    # PostgreSQL's bigint is signed: one bit is dropped, so that every key is a number it takes.
    return int.from_bytes(digest[:8]) >> 1


def _lock_file(prefix: str) -> Path:
    folder = Path(settings.DATA_DIR) / "locks"
    folder.mkdir(parents=True, exist_ok=True)
    return folder / f"series-{prefix}.lock"


def _lock(handle: IO[str]) -> bool:
    try:
        # Never blocking: a blocked flock could not be given up after its patience.
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
