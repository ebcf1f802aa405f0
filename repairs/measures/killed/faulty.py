"""Deeds under other faults than a kill: a full disk, a database that is away, a clock that jumps,
eight of one post at once."""

from __future__ import annotations

import datetime as dt
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from itertools import count
from random import Random
from secrets import token_hex
from unittest.mock import patch

from django.db import connection
from django.utils import timezone

from repairs.measures.killed.batches import cut_off, developed
from repairs.measures.killed.deeds import DEEDS, SEEN_OTHER, Deed
from repairs.measures.killed.full_disk import full_at
from repairs.measures.killed.hand import BEGINS, DONE, PATIENCE_S, Say, Tempo, forked
from repairs.measures.killed.house import Laid, lay
from repairs.measures.killed.pages import Act, act_of
from repairs.measures.killed.proof import Tally, hold, hold_swept

EIGHT, MOST_STEPS = 8, 80
LOCK_S, HELD_S = 0.3, 0.9  # how long a process waits for a lock, and how long somebody holds it
FOR_SCRIPTS = "photo"  # sends no forms: what it sends bears a name of its own
LONG_PRINT = "invoice"
Clock = Callable[[], dt.datetime]


def _answered(deed: Deed, act: Act, answer: tuple[int, str], tally: Tally) -> None:
    """Done if and only if it was said; then the form that was not kept is sent again."""
    status = answer[0]
    tally.answered(status, f"{deed.name} {act.mark}")
    there = deed.count(act.mark)
    if status == SEEN_OTHER and there != 1:
        tally.wrong("lost", [f"{deed.name} {act.mark} was acknowledged, stands {there} times"])
    if status == SEEN_OTHER:
        tally.counts["acknowledged"] += 1
    else:
        tally.counts["inside"] += 1
        cut_off(deed, act.text(), tally)


def _end(tally: Tally, laid: Laid, deeds: list[Deed]) -> Tally:
    developed(laid, tally)
    for deed in deeds:
        tally.wrong("half", deed.odd())
    hold_swept(tally)
    return tally


def fill_disk(laid: Laid, faults: int, _chance: Random) -> Tally:
    """The disk is full from the n-th write of a deed on, for each n; there is room again then."""
    tally, first, deeds = Tally(), f"full-{token_hex(4)}", list(DEEDS.values())
    for number, deed in enumerate(deeds):
        for step in range(1, min(MOST_STEPS, faults) + 1):
            act = deed.prepare(laid, f"{first}-{number}-{step}")
            with full_at(step) as disk:
                answer = deed.do(act)
            tally.counts["kills"] += 1
            _answered(deed, act, answer, tally)
            if not disk.was_full:
                break
        hold(tally)
    _fill_database(laid, faults, tally, first)
    return _end(tally, laid, deeds)


def _fill_database(laid: Laid, faults: int, tally: Tally, first: str) -> None:
    """SQLite's own file may grow by n pages and no more, for each n."""
    if connection.vendor != "sqlite":
        return
    for name in ("wood", "payment", "consent"):
        deed, was_full = DEEDS[name], True
        for pages in count():
            if not was_full or pages >= faults:
                break
            act = deed.prepare(laid, f"{first}-{name}-db-{pages}")
            with _most_pages(pages):
                answer = deed.do(act)
            was_full = answer[0] != SEEN_OTHER
            tally.counts["kills"] += 1
            _answered(deed, act, answer, tally)


@contextmanager
def _most_pages(more: int) -> Iterator[None]:
    with connection.cursor() as cursor:
        (pages,) = cursor.execute("PRAGMA page_count").fetchone()
        (free,) = cursor.execute("PRAGMA freelist_count").fetchone()
        cursor.execute(f"PRAGMA max_page_count = {max(pages, pages - free + more)}")
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA max_page_count = 1073741823")


def take_database_away(laid: Laid, faults: int, chance: Random) -> Tally:
    """Somebody holds SQLite's file longer than a process waits, or PostgreSQL ends its
    connections, at any moment of a deed."""
    tally, deeds = Tally(), [d for d in DEEDS.values() if d.name != LONG_PRINT]
    if connection.vendor == "sqlite":
        connection.settings_dict["OPTIONS"]["timeout"] = LOCK_S
    try:
        for deed in deeds:
            _away(deed, laid, max(1, faults // len(deeds)), chance, tally)
    finally:
        if connection.vendor == "sqlite":
            connection.settings_dict["OPTIONS"]["timeout"] = 20
            connection.close()
    return _end(tally, laid, deeds)


def _away(deed: Deed, laid: Laid, faults: int, chance: Random, tally: Tally) -> None:
    tempo, first = Tempo(), f"away-{token_hex(4)}"
    for number in range(faults + 2):
        child = forked(partial(_do_one, deed, laid), f"{first}-{number}")
        try:
            word, line = child.hear()
            began = time.monotonic()
            if word == BEGINS and number >= 2:
                time.sleep(chance.random() * tempo.usual_s)
                _end_connections()
                tally.counts["kills"] += 1
            told, answer = child.hear()
            if number < 2:
                tempo.note(time.monotonic() - began)
        finally:
            child.kill()
        if (word, told) != (BEGINS, DONE):
            tally.wrong("trouble", [line, answer])
            continue
        status, _space, where = answer.partition(" ")
        _answered(deed, act_of(line), (int(status), where), tally)


def _do_one(deed: Deed, laid: Laid, say: Say, mark: str) -> None:
    """In the process whose database goes: one deed, and then nothing more."""
    act = deed.prepare(laid, mark)
    say(BEGINS, act.text())
    status, where = deed.do(act)
    say(DONE, f"{status} {where}")
    time.sleep(PATIENCE_S)


def _end_connections() -> None:
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )
        return
    raw = sqlite3.connect(connection.settings_dict["NAME"], timeout=5, isolation_level=None)
    try:
        raw.execute("BEGIN IMMEDIATE")
        time.sleep(HELD_S)
        raw.execute("ROLLBACK")
    finally:
        raw.close()


def all_at_once(laid: Laid, faults: int, _chance: Random) -> Tally:
    """Eight processes send one and the same form at the same moment."""
    tally, first = Tally(), f"once-{token_hex(4)}"
    deeds = [deed for deed in DEEDS.values() if deed.name != FOR_SCRIPTS]
    for number in range(faults):
        deed = deeds[number % len(deeds)]
        act = deed.prepare(laid, f"{first}-{number}")
        at = time.time() + 0.2
        children = [forked(partial(_send_at, at, deed, act), "") for _one in range(EIGHT)]
        answers = [child.hear() for child in children]
        for child in children:
            child.kill()
        tally.counts["kills"] += EIGHT
        for word, answer in answers:
            if word != DONE:
                tally.wrong("trouble", [answer])
                continue
            tally.answered(int(answer.split()[0]), f"{deed.name} {act.mark}")
            tally.counts["acknowledged"] += answer.startswith("302")
        there = deed.count(act.mark)
        if there != 1:
            tally.wrong("twice" if there else "lost", [f"{deed.name} {act.mark}: {there} times"])
    return _end(tally, laid, deeds)


def _send_at(at: float, deed: Deed, act: Act, say: Say, _mark: str) -> None:
    time.sleep(max(0.0, at - time.time()))
    status, where = deed.do(act)
    say(DONE, f"{status} {where}")


# By hours: on, back, a week on, over both changes of the hour and over New Year, and back at last.
DAY_H = 24
JUMPS: tuple[dt.datetime | float, ...] = (
    1.0,
    -1.0,
    7.0 * DAY_H,
    -7.0 * DAY_H,
    dt.datetime(2026, 12, 31, 22, 59, 50, tzinfo=dt.UTC),
    dt.datetime(2026, 12, 31, 23, 0, 10, tzinfo=dt.UTC),
    dt.datetime(2026, 12, 31, 22, 59, 0, tzinfo=dt.UTC),
    dt.datetime(2027, 3, 28, 0, 59, 50, tzinfo=dt.UTC),
    dt.datetime(2027, 3, 28, 1, 0, 10, tzinfo=dt.UTC),
    dt.datetime(2027, 10, 31, 0, 30, tzinfo=dt.UTC),
    dt.datetime(2027, 10, 31, 1, 30, tzinfo=dt.UTC),
    -0.5,
    0.0,
)
NOT_AFTER = "consent"  # an offer lapses after its term, as it should


def turn_clock(laid: Laid, faults: int, _chance: Random) -> Tally:
    """The clock goes on and back; what is refused is refused in words, and nothing is half."""
    tally, first = Tally(), f"clock-{token_hex(4)}"
    deeds = [deed for deed in DEEDS.values() if deed.name != NOT_AFTER]
    for number in range(faults):
        jump = JUMPS[number % len(JUMPS)]
        with patch.object(timezone, "now", _clock(jump)):
            there = lay()  # signed in anew, by that clock
            for deed in deeds:
                _by_that_clock(deed, there, f"{first}-{number}-{deed.name}", tally)
            tally.counts["kills"] += 1
    return _end(tally, laid, deeds)


def _clock(jump: dt.datetime | float) -> Clock:
    real, begun = timezone.now, time.monotonic()
    if isinstance(jump, dt.datetime):
        return lambda: jump + dt.timedelta(seconds=time.monotonic() - begun)
    return lambda: real() + dt.timedelta(hours=jump)


def _by_that_clock(deed: Deed, laid: Laid, mark: str, tally: Tally) -> None:
    try:
        act = deed.prepare(laid, mark)
    except LookupError:  # the page says in words why there is no form, as for a number set back
        tally.counts["inside"] += 1
        return
    status, _where = deed.do(act)
    tally.answered(status, f"{deed.name} {act.mark}")
    there, expected = deed.count(act.mark), int(status == SEEN_OTHER)
    tally.counts["acknowledged" if expected else "inside"] += 1
    if there != expected:
        tally.wrong("half", [f"{deed.name} {act.mark} was answered {status}, stands {there} times"])
