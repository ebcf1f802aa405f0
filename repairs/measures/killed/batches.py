"""Kills by the kind of what is killed, each followed by what must be true."""

from __future__ import annotations

import time
from functools import partial
from random import Random
from secrets import token_hex

from django.utils import timezone

from repairs.jobs.models import Job
from repairs.jobs.worker import Worker
from repairs.measures.killed.deeds import SEEN_OTHER, Deed, Issued, Sent
from repairs.measures.killed.hand import (
    BEGINS,
    DONE,
    Child,
    Say,
    Struck,
    Tempo,
    forked,
    struck,
)
from repairs.measures.killed.house import Laid
from repairs.measures.killed.pages import act_of
from repairs.measures.killed.proof import Tally, hold, hold_swept, two_minutes_pass
from repairs.people.models import User
from repairs.photos.developing import darkroom
from repairs.photos.development import develop_again
from repairs.photos.models import Photo

BATCH = 40  # kills between two whole proofs


def kill_deeds(deed: Deed, laid: Laid, kills: int, chance: Random) -> Tally:
    """Kill whoever does the deed; then send the form that was cut off once more."""
    tally, tempo = Tally(), Tempo()
    first = f"{deed.name}-{token_hex(4)}"
    for number in range(kills):
        found = struck(partial(_do, deed, laid), f"{first}-{number}", chance, tempo)
        count_kill(tally, found)
        acknowledged(deed, found, tally)
        if found.in_flight is not None:
            cut_off(deed, found.in_flight, tally)
        if (number + 1) % BATCH == 0:
            hold(tally)
    developed(laid, tally)
    tally.wrong("half", deed.odd())
    hold_swept(tally)
    return tally


def _do(deed: Deed, laid: Laid, say: Say, mark: str) -> None:
    """In the process that dies: open the page, send its form, say how it was answered."""
    act = deed.prepare(laid, mark)
    say(BEGINS, act.text())
    status, where = deed.do(act)
    say(DONE, f"{status} {where}")


def count_kill(tally: Tally, found: Struck) -> None:
    """One more kill, and what was heard until then."""
    tally.counts["kills"] += 1
    tally.counts["inside"] += found.is_inside
    tally.counts["acknowledged"] += len(found.acknowledged)
    tally.wrong("trouble", found.trouble)


def acknowledged(deed: Deed, found: Struck, tally: Tally) -> None:
    """What a person was told to be done is there, once."""
    for line, answer in found.acknowledged:
        mark, status = act_of(line).mark, int(answer.split()[0])
        tally.answered(status, f"{deed.name} {mark}")
        there = deed.count(mark)
        if status != SEEN_OTHER:
            tally.wrong("refused", [f"{deed.name} {mark} was answered {status}"])
        elif there != 1:
            sort = "twice" if there else "lost"
            tally.wrong(sort, [f"{deed.name} {mark} was acknowledged, stands {there} times"])


def cut_off(deed: Deed, line: str, tally: Tally) -> None:
    """Whoever got no answer sends the same form again: it is done, and once."""
    act = act_of(line)
    before = deed.count(act.mark)
    tally.counts["done_unsaid"] += before
    two_minutes_pass()
    status, _where = deed.do(act)
    tally.counts["sent_again"] += 1
    tally.answered(status, f"{deed.name} {act.mark}, sent again")
    there = deed.count(act.mark)
    if there != 1:
        sort = "twice" if there else "lost"
        tally.wrong(sort, [f"{deed.name} {act.mark}, sent again ({status}): stands {there} times"])
    elif status != SEEN_OTHER:
        tally.wrong("refused", [f"{deed.name} {act.mark}, sent again, was answered {status}"])


def developed(laid: Laid, tally: Tally) -> None:
    """Photos that came are developed, if need be by the button."""
    a_lease_ends()
    Worker().run_all()
    by = User.objects.get(pk=laid.person)
    for photo in Photo.objects.filter(state=Photo.State.FAILED):
        develop_again(photo, by=by, at=timezone.now())
    Worker().run_all()
    darkroom().close()
    ended = (Photo.State.READY, Photo.State.REFUSED)  # a twin is refused by name
    left = Photo.objects.exclude(state__in=ended)
    tally.wrong("half", (f"photo {photo.pk} is {photo.state}" for photo in left))


def a_lease_ends() -> None:
    """Whoever was killed renews none; nobody waits here until it has run out."""
    Job.objects.filter(state=Job.State.RUNNING).update(lease_until=timezone.now())
    Job.objects.update(not_before=timezone.now())


def kill_darkroom(laid: Laid, kills: int, chance: Random) -> Tally:
    """Kill the worker that develops photos, or the darkroom that works for it."""
    tally, tempo, sender = Tally(), Tempo(), Sent()
    first = f"dark-{token_hex(4)}"
    for number in range(kills):
        for one in range(4):
            sender.do(sender.prepare(laid, f"{first}-{number}-{one}"))
        a_lease_ends()
        before = chance.random() * tempo.usual_s if chance.random() < 0.5 else None
        count_kill(tally, struck(_develop, "", chance, tempo, helper_after_s=before))
        if (number + 1) % BATCH == 0:
            hold(tally)
    developed(laid, tally)
    tally.wrong("half", sender.odd())
    hold_swept(tally)
    return tally


def _develop(say: Say, _mark: str) -> None:
    """In the process that dies: one photo after another."""
    say(BEGINS, "")
    Worker().run_one()
    say(DONE, "")


def kill_rules(laid: Laid, kills: int, chance: Random) -> Tally:
    """Kill the process that checks e-invoices while one is issued: it is refused with a sentence,
    or issued whole, and the next one is issued."""
    tally, tempo, deed = Tally(), Tempo(), Issued()
    child = forked(partial(_do, deed, laid), "rules")
    try:
        for number in range(kills + 3):
            _one_rules(child, deed, tally, tempo, chance if number > 2 else None)
    finally:
        child.kill()
    tally.wrong("half", deed.odd())
    hold_swept(tally)
    return tally


def _one_rules(child: Child, deed: Deed, tally: Tally, tempo: Tempo, chance: Random | None) -> None:
    word, line = child.hear()
    began = time.monotonic()
    if word != BEGINS:
        tally.wrong("trouble", [line])
        return
    if chance is not None:
        time.sleep(chance.random() * tempo.usual_s * 0.7)
        child.kill_helpers()
        tally.counts["kills"] += 1
    _word, answer = child.hear()
    status = int(answer.split()[0])
    if chance is None:
        tempo.note(time.monotonic() - began)
    mark = act_of(line).mark
    tally.answered(status, f"invoice of draft {mark}")
    there, expected = deed.count(mark), int(status == SEEN_OTHER)
    tally.counts["acknowledged"] += expected
    tally.counts["inside"] += 1 - expected  # the fault reached the deed
    if there != expected:
        tally.wrong("half", [f"draft {mark} was answered {status}, stands {there} times"])
