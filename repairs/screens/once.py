"""Twice is once: every form carries a one-time token, and a deed is done for it one single time.

The token is claimed by a row before the view runs, and the row is marked inside the transaction of
the deed (``audit.actions``): what was committed is known to be done, also when the process dies
before it could answer, and of two posts at once only one can commit. A form that is shown again
gives its token back.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import hmac
import secrets
import time
import uuid
from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass
from functools import wraps
from typing import Any

from django.db import IntegrityError, transaction
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.utils import timezone

from repairs.audit.actions import before_the_end
from repairs.screens.once_models import SentForm
from repairs.screens.refusals import SentElsewhereError

FIELD, SAME = "once", "same_token"
NOT_WORDS = frozenset({FIELD, "csrfmiddlewaretoken"})
KEPT_FOR = dt.timedelta(days=7)
# A process that was killed in the middle leaves its claim; the fence below holds whenever it was
# only slow.
DEAD_AFTER = dt.timedelta(minutes=2)
PATIENCE_S, LOOK_EVERY_S = 8.0, 0.1

View = Callable[..., HttpResponseBase]


@dataclass(frozen=True)
class Claim:
    """The leave of this request to do what its form asks for, once."""

    pk: int
    attempt: uuid.UUID


_claimed: ContextVar[Claim | None] = ContextVar("claimed_form", default=None)


def fresh_token() -> str:
    """A token for one form of one page; sixteen random bytes."""
    return secrets.token_urlsafe(16)


def sent_again_is_harmless(why: str) -> Callable[[View], View]:
    """Mark a view whose posts need no token: they write nothing, or carry a name of their own."""

    def mark(view: View) -> View:
        """The view, which says why."""

        @wraps(view)
        def marked(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            """The page."""
            return view(request, *args, **kwargs)

        marked.harmless_again = why  # type: ignore[attr-defined]
        return marked

    return mark


def claim(token: str, place: str, words: str) -> Claim | SentForm:
    """Claim the form, or return the row of whoever has it."""
    row = SentForm(
        token_hash=_hash(token, place), words_hash=words, attempt=uuid.uuid4(), at=timezone.now()
    )
    try:
        # The unique hash decides, also between two processes.
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        return _of_another(token, place, words)
    return Claim(row.pk, row.attempt)


def _of_another(token: str, place: str, words: str) -> Claim | SentForm:
    known = SentForm.objects.filter(token_hash=_hash(token, place)).first()
    if known is None:  # it was given back in this very moment
        return claim(token, place, words)
    is_dead = known.state == SentForm.State.RUNNING and known.at < timezone.now() - DEAD_AFTER
    if not is_dead:
        return known
    mine = uuid.uuid4()
    taken = SentForm.objects.filter(
        pk=known.pk, attempt=known.attempt, state=SentForm.State.RUNNING
    ).update(attempt=mine, at=timezone.now(), words_hash=words)
    return Claim(known.pk, mine) if taken else known


def wait_for(known: SentForm) -> SentForm | None:
    """The row when the other post has ended, or after some seconds; None if it was given back."""
    until = time.monotonic() + PATIENCE_S
    row: SentForm | None = known
    while row and not has_ended(row) and time.monotonic() < until:
        time.sleep(LOOK_EVERY_S)
        row = SentForm.objects.filter(pk=known.pk).first()
    return row


def has_ended(row: SentForm) -> bool:
    """Whether it is known where the first post led, or its process will never tell."""
    is_kept = row.state == SentForm.State.KEPT
    return is_kept and bool(row.location or row.at < timezone.now() - DEAD_AFTER)


def settle(mine: Claim, location: str, visit: dict[str, Any]) -> None:
    """Note where the form led; without a place it was shown again, and the token is free."""
    rows = SentForm.objects.filter(pk=mine.pk, attempt=mine.attempt)
    if location:
        rows.update(state=SentForm.State.KEPT, location=location, visit=visit)
    else:
        rows.delete()


def settle_fault(mine: Claim, place: str) -> None:
    """After a fault of the server: free if nothing was kept, else it led to that page."""
    rows = SentForm.objects.filter(pk=mine.pk, attempt=mine.attempt)
    rows.filter(state=SentForm.State.RUNNING).delete()
    rows.update(location=place)


def hold(mine: Claim | None) -> None:
    """What deeds of this request are done for, from now on."""
    _claimed.set(mine)


def _mark() -> None:
    """In the transaction of the deed: the form is kept if and only if its deed is."""
    mine = _claimed.get()
    if mine is None:
        return
    rows = SentForm.objects.filter(pk=mine.pk, attempt=mine.attempt)
    if not rows.update(state=SentForm.State.KEPT):
        raise SentElsewhereError


before_the_end(_mark)


def words_of(request: HttpRequest, token: str) -> str:
    """All that was typed and chosen, hashed with the token as key."""
    text = hashlib.sha256()
    for name in sorted(set(request.POST) - NOT_WORDS):
        text.update(repr((name, request.POST.getlist(name))).encode(errors="replace"))
    for name in sorted(request.FILES):
        sizes = [(file.name, file.size) for file in request.FILES.getlist(name)]
        text.update(repr((name, sizes)).encode(errors="replace"))
    return hmac.new(token.encode(errors="replace"), text.digest(), "sha256").hexdigest()


def _hash(token: str, place: str) -> str:
    """Of the token at this address and of this person: elsewhere it is another one."""
    return hashlib.sha256(f"{token}\x1f{place}".encode(errors="replace")).hexdigest()


def sweep_sent_forms(*, at: dt.datetime) -> int:
    """Drop what no open page can send any more; says how many. For the daily sweep."""
    count, _each = SentForm.objects.filter(at__lt=at - KEPT_FOR).delete()
    return count
