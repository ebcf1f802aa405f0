"""What a reading is held against: the one before it, and what the present code makes of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Q

from repairs.readings.actions import Change, compute
from repairs.readings.models import Reading
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.show import digits, figure_rows

# Another processor may differ in the last bits; that is no new result.
MOST_PLACES = 12  # behind which two floating-point numbers are the same to anyone


@dataclass(frozen=True)
class Otherwise:
    """A figure that the present code sees otherwise than the kept result, in words."""

    label: str
    was: str
    now: str


def otherwise(reading: Reading, found: Sequence[Change]) -> list[Otherwise]:
    """What computing anew would change, each figure under its name and to the digit that differs.

    Raises GaugeInputError as the computation itself.
    """
    if not found:
        return []
    sheet = sheet_of(reading.gauge)
    kept = {row.key: (row.label, row.digits) for row in figure_rows(reading)}
    fresh = {f.key: (str(f.label), f.digits) for f in compute(sheet, reading.raw).figures}
    rows = []
    for one in found:
        label, places = fresh.get(one.figure) or kept[one.figure]
        rows.append(Otherwise(label, *_told_apart(one.was, one.now, places)))
    return rows


def _told_apart(was: float | None, now: float | None, places: int) -> tuple[str, str]:
    """Both values to the places of the figure, or to so many more that they read differently."""
    for more in range(places, MOST_PLACES):
        said = digits(was, more) or "—", digits(now, more) or "—"
        if said[0] != said[1]:
            break
    return said


def last_before(reading: Reading) -> Reading | None:
    """The same out of the database, without reading the others of the case."""
    earlier = Q(taken_at__lt=reading.taken_at)
    earlier |= Q(taken_at=reading.taken_at, number__lt=reading.number)
    return (
        Reading.objects.present()
        .filter(earlier, case=reading.case_id, gauge=reading.gauge, subject=reading.subject)
        .exclude(results=None)
        .order_by("-taken_at", "-number")
        .prefetch_related("results__verdicts", "results__prescriptions")
        .first()
    )
