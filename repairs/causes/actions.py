"""“It was this”: the one verb of the room."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from uuid import UUID, uuid5

from django.utils.formats import date_format
from django.utils.timezone import localtime

from repairs.audit.actions import deed, record
from repairs.cases.access import require_going_on
from repairs.cases.locks import locked_case
from repairs.cases.models import Case
from repairs.causes.models import WhatItWas
from repairs.causes.practice import standing_of
from repairs.gauges.causes.search import VERSION
from repairs.people.models import User
from repairs.screens.refusals import ChangedMeanwhileError


@dataclass(frozen=True)
class Said:
    """What a form says: ``known`` is the last word that its page showed, 0 where there was none.

    No cause: none of those listed. ``heard`` and ``denied`` are the symptoms told on its page.
    """

    causes: frozenset[str]
    tap: UUID
    known: int = 0
    words: str = ""
    heard: frozenset[str] = field(default_factory=frozenset)
    denied: frozenset[str] = field(default_factory=frozenset)


@deed()
def say_what_it_was(case: Case, said: Said, *, by: User, at: dt.datetime) -> WhatItWas:
    """Keep what it was, once however often it is sent; what was said before stays beside it.

    Raises CaseEndedError when the stay has ended, ChangedMeanwhileError when somebody else said it
    after the page was shown; nothing is written then.
    """
    case = locked_case(case.pk)
    require_going_on(case)
    tap = uuid5(said.tap, case.number)  # a page's name counts on its own case only
    again = WhatItWas.objects.filter(tap=tap).first()
    if again is not None:
        return again
    last = standing_of(case)
    if last is not None and last.pk != said.known:
        when = date_format(localtime(last.at), "DATETIME_FORMAT")
        raise ChangedMeanwhileError(who=last.by, when=when)
    row = WhatItWas.objects.create(
        case=case,
        causes=sorted(said.causes),
        words=said.words,
        heard=sorted(said.heard),
        denied=sorted(said.denied),
        version=VERSION,
        at=at,
        by=by,
        tap=tap,
    )
    # One word of text, so that the log can say in its reader's language what each key means.
    record(by, "cause.said", case, at=at, causes=" ".join(row.causes))
    return row
