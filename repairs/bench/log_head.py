"""The head of the log for people: what it is now, whether an old one is in it, what was lost."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Model
from django.urls import reverse

from repairs.audit.actions import ChainFault, chain_faults
from repairs.audit.anchors import digits_of, line_with
from repairs.audit.head import Head
from repairs.audit.lost import LostLine, lost_with
from repairs.audit.models import LogEntry
from repairs.bench.deeds import deed_words
from repairs.people.models import Client, User
from repairs.press.models import Paper

# So many lines are hashed anew while somebody waits; a longer log is left to the command.
WALKED = 20_000
LINES = 30
# What a page of a case never shows: the door, looks, files that went out, and the log itself.
HOUSE_VERBS = (
    "person.signed_in",
    "person.signed_out",
    "person.refused",
    "person.refused.counted",
    "person.password_changed",
    "person.hired",
    "person.changed",
    "client.looked_at",
    "paper.taken_out",
    "books.exported",
    "house.went_on",
    "numbers.looked_at",
    "values.erased",
    "rows.vouched_from_here",
)


@dataclass(frozen=True)
class Answer:
    """What can be said of a head that somebody kept."""

    digits: str
    line: Head | None
    at: dt.datetime | None
    lost: LostLine | None
    broken: ChainFault | None
    is_walked: bool


def answer_to(typed: str) -> Answer:
    """Look for a typed head in the log, and see that the log still follows. Raises NoHeadError."""
    digits = digits_of(typed)
    line = line_with(digits)
    is_walked = line is not None and LogEntry.objects.count() <= WALKED
    return Answer(
        digits=digits,
        line=line,
        at=moment_of(line),
        lost=lost_with(digits) if line is None else None,
        broken=next(chain_faults(), None) if is_walked else None,
        is_walked=is_walked,
    )


def moment_of(line: Head | None) -> dt.datetime | None:
    """When the line was written; None for the beginning of the log."""
    if line is None:
        return None
    return LogEntry.objects.filter(seq=line.seq).values_list("at", flat=True).first()


@dataclass(frozen=True)
class HouseLine:
    """One line about the house: when, who, what, and whom or what it was about with its address."""

    at: dt.datetime
    who: str
    words: str
    about: str
    address: str


def house_lines() -> list[HouseLine]:
    """The newest lines about the door, looks at people and files that went out."""
    rows = list(
        LogEntry.objects.filter(verb__in=HOUSE_VERBS)
        .select_related("actor")
        .order_by("-seq")[:LINES]
    )
    things = _things(row.subject for row in rows)
    return [_house_line(row, things.get(row.subject)) for row in rows]


def _house_line(row: LogEntry, thing: Model | None) -> HouseLine:
    own = row.actor is not None and thing == row.actor
    about = "" if thing is None or own else str(thing)
    address = reverse("people:client", args=[thing.pk]) if isinstance(thing, Client) else ""
    return HouseLine(
        row.at, str(row.actor or "—"), deed_words(row.verb, row.details), about, address
    )


def _things(subjects: Iterable[str]) -> dict[str, Model]:
    """The people and papers that lines are about, by the subject of the line."""
    wanted: dict[str, set[str]] = {}
    for subject in subjects:
        kind, _colon, key = subject.partition(":")
        if kind in ABOUT and key.isdecimal():
            wanted.setdefault(kind, set()).add(key)
    return {
        f"{kind}:{thing.pk}": thing
        for kind, keys in wanted.items()
        for thing in ABOUT[kind].objects.filter(pk__in=keys)
    }


# What a person of the house knows by name; of other subjects the words say enough.
ABOUT: Mapping[str, Any] = {"user": User, "client": Client, "paper": Paper}
