"""The hand that kills: processes forked from this one do a deed again and again until they die."""

from __future__ import annotations

import os
import signal
import time
import traceback
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from random import Random
from statistics import median
from typing import IO

from django.db import connections

BEGINS, DONE, TROUBLE = "begins", "done", "trouble"
BEYOND = 1.15  # some kills come when the deed has just been answered
WARM = 3  # deeds that are timed before the first kill
PATIENCE_S = 300

Say = Callable[[str, str], None]
Work = Callable[[Say, str], None]


@dataclass
class Struck:
    """What was heard of a process until it died."""

    acknowledged: list[tuple[str, str]] = field(default_factory=list)  # deed, answer
    in_flight: str | None = None
    trouble: list[str] = field(default_factory=list)
    is_inside: bool = False


@dataclass
class Tempo:
    """How long a deed takes, so that kills fall into it."""

    times: list[float] = field(default_factory=list)

    def note(self, seconds: float) -> None:
        """One more deed."""
        self.times.append(seconds)
        del self.times[:-30]

    @property
    def usual_s(self) -> float:
        """The median of the last ones."""
        return median(self.times) if self.times else 0.1


@dataclass
class Child:
    """A process that says what it begins and what is done."""

    pid: int
    lines: IO[str]

    def hear(self) -> tuple[str, str]:
        """The next word and what goes with it; empty when it has ended."""
        line = self.lines.readline()
        word, _space, rest = line.rstrip("\n").partition(" ")
        return (word, rest) if line.endswith("\n") else ("", "")

    def kill_helpers(self) -> None:
        """The processes that it has started: a darkroom, the rules."""
        for pid in helpers_of(self.pid):
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)

    def kill(self) -> None:
        """At once, with no chance to tidy up."""
        with suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)


def forked(work: Work, first: str) -> Child:
    """Start the work in a process forked from this one; its deeds are named after ``first``."""
    connections.close_all()  # an open one must not be shared
    reads, writes = os.pipe()
    pid = os.fork()
    if pid:
        os.close(writes)
        return Child(pid, os.fdopen(reads, encoding="utf-8"))
    try:
        os.close(reads)
        with os.fdopen(writes, "w", encoding="utf-8") as out:
            _work(work, first, out)
    finally:
        os._exit(0)


def _work(work: Work, first: str, out: IO[str]) -> None:
    def say(word: str, rest: str) -> None:
        """One line, at once."""
        out.write(f"{word} {rest}\n")
        out.flush()

    try:
        for number in count():
            work(say, f"{first}-{number}")
    except BaseException:
        say(TROUBLE, traceback.format_exc(limit=-4).replace("\n", " | ")[-1500:])


def struck(
    work: Work, first: str, chance: Random, tempo: Tempo, helper_after_s: float | None = None
) -> Struck:
    """Start the work, let some deeds pass, and kill the process in the middle of one.

    With a helper's moment, the process that works for it is killed in the same deed first.
    """
    child, found = forked(work, first), Struck()
    try:
        left = chance.choice((0, 0, 1, 2)) if tempo.times else WARM
        began = _heard_until(child, found, left, tempo)
        if began is not None and helper_after_s is not None:
            time.sleep(helper_after_s)
            child.kill_helpers()
        if began is not None:
            time.sleep(chance.random() * tempo.usual_s * BEYOND)
    finally:
        child.kill()
    while (heard := child.hear())[0]:
        _note(found, *heard)
    child.lines.close()
    found.is_inside = found.in_flight is not None
    return found


def _heard_until(child: Child, found: Struck, left: int, tempo: Tempo) -> float | None:
    """Listen until so many deeds are done and the next one begins; the moment of that."""
    began = 0.0
    while (heard := child.hear())[0]:
        word = heard[0]
        _note(found, *heard)
        if word == BEGINS:
            began = time.monotonic()
            if len(found.acknowledged) >= left:
                return began
        elif word == DONE:
            tempo.note(time.monotonic() - began)
    return None


def _note(found: Struck, word: str, rest: str) -> None:
    if word == BEGINS:
        found.in_flight = rest
    elif word == DONE and found.in_flight is not None:
        found.acknowledged.append((found.in_flight, rest))
        found.in_flight = None
    elif word == TROUBLE:
        found.trouble.append(rest)


def helpers_of(pid: int) -> list[int]:
    """The processes that our child has started, where the system tells (Linux).

    Of a child that was not yet waited for: its number cannot be another's meanwhile.
    """
    if pid <= 1:
        raise ValueError("only of a process of our own")
    found: set[int] = set()
    with suppress(OSError):
        for task in Path(f"/proc/{pid}/task").iterdir():
            with suppress(OSError):
                found.update(int(word) for word in (task / "children").read_text().split())
    return sorted(found)
