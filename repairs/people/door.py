"""What the log says of the door: who came in, who went, who was not let in; and looks at people."""

from __future__ import annotations

import datetime as dt

from repairs.audit.actions import deed, record
from repairs.audit.seldom import record_counted, record_seldom, tell_counts
from repairs.people.models import Client, User

NOBODY = "house:door"


@deed()
def note_signed_in(user: User, *, at: dt.datetime) -> None:
    """Say who came in, after how many tries of the hours before."""
    tell_counts(at=at)
    record(user, "person.signed_in", user, at=at)


@deed()
def note_signed_out(user: User, *, at: dt.datetime) -> None:
    """Say who went."""
    record(user, "person.signed_out", user, at=at)


def note_refused(name: str, *, at: dt.datetime) -> None:
    """Say that somebody was not let in. The name that was typed, which may be a password, is kept
    as a salted hash; whose account was tried, by its key."""
    tried = User.objects.filter(username=name[:150]).values_list("pk", flat=True).first()
    subject = f"user:{tried}" if tried else NOBODY
    record_counted("person.refused", subject, at=at, hashed={"name": name})


def note_looked_at(client: Client, *, by: User, at: dt.datetime) -> None:
    """Say that somebody of the house looked at what is kept of a client (GDPR art. 5(2), 32)."""
    record_seldom(by, "client.looked_at", client, at=at)
