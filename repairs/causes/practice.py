"""What was confirmed: in this case, at earlier stays of the instrument, in closed cases of its
kind. The last word of each case counts."""

from __future__ import annotations

from dataclasses import dataclass

from repairs.cases.models import Case
from repairs.causes.models import WhatItWas
from repairs.causes.tables import labels_of, table_of
from repairs.gauges.causes.counts import Closed, Practice, counted


@dataclass(frozen=True)
class Earlier:
    """What it was at an earlier stay of the same instrument."""

    number: str
    causes: str


@dataclass(frozen=True)
class Known:
    """What closed cases of the kind say, and what it was when this instrument was here before."""

    practice: Practice
    earlier: tuple[Earlier, ...]


def known_from_closed(case: Case) -> Known:
    """Closed cases of that kind of instrument, this one left out."""
    kind = case.instrument.kind
    closed = WhatItWas.objects.filter(
        case__instrument__kind=kind, case__ended_at__isnull=False
    ).exclude(case=case.pk)
    names = ("case__number", "case__instrument_id", "causes", "heard", "denied")
    # In the order in which they were said, so that the last word of a case is the one that stays.
    last = {row[0]: row for row in closed.order_by("pk").values_list(*names)}
    practice = counted(
        table_of(kind),
        (Closed(frozenset(row[2]), frozenset(row[3]), frozenset(row[4])) for row in last.values()),
    )
    here = [row for row in last.values() if row[1] == case.instrument_id]
    return Known(practice, tuple(Earlier(row[0], labels_of(kind, row[2])) for row in here))


def standing_of(case: Case) -> WhatItWas | None:
    """The last word on this case, with who said it."""
    said: WhatItWas | None = case.what_it_was.select_related("by").last()
    return said
