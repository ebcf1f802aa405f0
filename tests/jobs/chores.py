"""Jobs that only the tests know, and what a worker in a process of its own does with them."""

from __future__ import annotations

import datetime as dt
import os
import sys
import time
from pathlib import Path
from queue import Queue
from typing import Any

from django.utils.translation import gettext_lazy as _

from repairs.jobs import actions, worker
from repairs.jobs.registry import About, Arguments, Progress, job
from repairs.jobs.worker import Worker
from repairs.language.refusal import WorkshopError
from tests.beside import ready

RUNS: list[str] = []
RENEWED: Queue[bool] = Queue()


class SpokenError(WorkshopError):
    """Its sentence is one that Django's own catalogue has in French."""

    message = _("This field is required.")


@job("tests.note")
def note(word: str, progress: Progress) -> dict[str, Any]:
    RUNS.append(word)
    progress(3, 7)
    return {"noted": word}


@job("tests.refuse")
def refuse(progress: Progress) -> None:
    RUNS.append("refuse")
    raise SpokenError


@job("tests.stumble")
def stumble(times: int, progress: Progress) -> None:
    """Fail so many times, then succeed."""
    RUNS.append("stumble")
    if len(RUNS) <= times:
        raise RuntimeError("the disk is full")


ENDS: list[tuple[str, Any]] = []


def _given_up(arguments: Arguments, trouble: str) -> None:
    ENDS.append(("given up", trouble))


@job(
    "tests.fill",
    label="filling the disk",
    deed="record",
    given_up=_given_up,
    again=lambda arguments: ENDS.append(("again", arguments["number"])),
    let_go=lambda arguments, **said: ENDS.append(("let go", said["by"])),
    about=lambda jobs: [About(f"heap {row['number']}", "/") for row in jobs],
)
def fill(number: int, progress: Progress) -> None:
    raise OSError(number, os.strerror(number))


@job("tests.write")
def write(word: str, file: str, processes: int, progress: Progress) -> None:
    """Append the word in one write, so that two runs of one job leave two lines; then wait until
    so many processes have written, that none does all the work before another has begun."""
    with Path(file).open("a") as handle:
        handle.write(f"{word} {os.getpid()}\n")
    while len({line.split()[1] for line in Path(file).read_text().splitlines()}) < processes:
        time.sleep(0.005)


@job("tests.outlast")
def outlast(renewals: int, progress: Progress) -> dict[str, Any]:
    """Take until the lease was prolonged so many times; give up after some seconds."""
    return {"renewed": sum(RENEWED.get(timeout=10) for _time in range(renewals))}


@job("tests.long")
def long_one(flag: str, progress: Progress) -> dict[str, Any]:
    """Take for ever the first time; a later run finds the flag and ends at once."""
    if Path(flag).exists():
        return {"run": "second"}
    Path(flag).touch()
    progress(1, 2)
    sys.stdout.write("in the middle\n")
    sys.stdout.flush()
    time.sleep(600)
    return {"run": "first"}


def serve() -> None:
    """A whole worker: all that is queued, once the test lets it go."""
    ready()
    sys.stdout.write(f"{Worker().run_all()}\n")


def serve_with_short_lease(lease_s: str) -> None:
    actions.LEASE = dt.timedelta(seconds=float(lease_s))
    worker.RENEW_S = float(lease_s) / 5
    serve()
