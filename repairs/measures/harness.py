"""How things are measured: fresh processes, one core, in turns, medians, and ratios to a floor.

Seconds differ from machine to machine and from minute to minute; a ratio of two runs that followed
one another on the same core says something. CPU seconds (user and system) are counted, of the whole
child process with its start and end.
"""

from __future__ import annotations

import json
import operator
import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Any

HOUSE = Path(__file__).resolve().parents[2]
RULES: Mapping[str, Callable[[float, float], bool]] = {"<=": operator.le, ">=": operator.ge}
PROC_STAT = Path("/proc/stat")
IDLE_FIELDS = (3, 4)  # idle, and waiting for a disk

Say = Callable[[str], None]


class MeasureError(Exception):
    """Measuring cannot go on; the text is the sentence for the person at the terminal."""


@dataclass(frozen=True)
class Plan:
    """How thoroughly to measure. The quick one only shows that everything runs."""

    rounds: int = 3
    photos: tuple[int, int] = (40, 120)
    originals: int = 6
    heic: int = 2
    sensor: tuple[int, int] = (4032, 3024)
    store_mb: int = 2000  # of the house that is backed up
    room: str = ""  # of mutants: one group of rooms instead of all
    seed: int = 1
    count: int = 200
    tests: str = ""  # that judge them; all but a few folders where it is empty


QUICK = Plan(
    rounds=1,
    photos=(1, 2),
    originals=2,
    heic=1,
    sensor=(1008, 756),
    store_mb=12,
    count=10,
    tests="tests/audit",
)


@dataclass(frozen=True)
class Figure:
    """One measured figure. ``goal`` reads ``<= 20``; None where it is only reported."""

    value: float
    unit: str
    goal: str | None = None
    note: str = ""
    judged: bool = True

    @property
    def met(self) -> bool | None:
        """Whether the goal is met; None when there is none or this machine cannot judge it."""
        if self.goal is None or not self.judged:
            return None
        rule, limit = self.goal.split()
        return RULES[rule](self.value, float(limit))

    def plain(self) -> dict[str, Any]:
        """The figure as it is written to JSON."""
        said: dict[str, Any] = {
            "value": round(float(self.value), 3),
            "goal": self.goal,
            "unit": self.unit,
            "met": self.met,
        }
        return {**said, "note": self.note} if self.note else said


@dataclass(frozen=True)
class Cost:
    """What one child process used, and what it said at its end."""

    cpu_s: float
    facts: Mapping[str, Any]

    def fact(self, name: str) -> float:
        """One of the numbers that the measured process printed."""
        return float(self.facts[name])


def command(module: str, *words: object) -> list[str]:
    """The command line of a child of this package."""
    return [sys.executable, "-m", f"repairs.measures.{module}", *(str(word) for word in words)]


def start(line: Sequence[str], data: Path) -> subprocess.Popen[str]:
    """Start a child whose house keeps its data in that folder."""
    environment = {**os.environ, "SAUTEREAU_DATA": str(data), "PYTHONPATH": str(HOUSE)}
    environment.setdefault("DJANGO_SETTINGS_MODULE", "workshop.settings")
    return subprocess.Popen(  # noqa: S603 - our own modules, fixed words
        line,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=HOUSE,
        env=environment,
    )


def run(line: Sequence[str], data: Path) -> Cost:
    """Run one child to its end. Raises MeasureError with its last words when it fails."""
    before = _children_s()
    child = start(line, data)
    out, complaint = child.communicate()
    if child.returncode:
        last = (complaint.strip().splitlines() or ["it said nothing"])[-1]
        raise MeasureError(f"{line[2]} failed: {last}")
    return Cost(cpu_s=_children_s() - before, facts=json.loads(out.splitlines()[-1]))


def _children_s() -> float:
    """CPU seconds of all children waited for, and of theirs."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def in_turns(
    lines: Mapping[str, Sequence[str]], data: Path, rounds: int, say: Say
) -> dict[str, list[Cost]]:
    """Run each command once a round, on one core; every second round goes backwards.

    What changes slowly, like the heat of the machine, then falls on all of them alike.
    """
    costs: dict[str, list[Cost]] = {name: [] for name in lines}
    with one_core():
        for turn in range(rounds):
            for name in list(lines)[:: -1 if turn % 2 else 1]:
                costs[name].append(run(lines[name], data))
                say(f"round {turn + 1} of {rounds}: {name}, {costs[name][-1].cpu_s:.2f} s of CPU")
    return costs


@contextmanager
def one_core() -> Iterator[None]:
    """Keep this process and its children on the last core it may use, where that can be asked."""
    if not hasattr(os, "sched_setaffinity"):
        yield
        return
    allowed = os.sched_getaffinity(0)
    os.sched_setaffinity(0, {max(allowed)})
    try:
        yield
    finally:
        os.sched_setaffinity(0, allowed)


def ratio(above: Sequence[float], below: Sequence[float]) -> float:
    """The median of the ratios of what ran in the same round."""
    return median(a / b for a, b in zip(above, below, strict=True))


def cpu(costs: Sequence[Cost]) -> list[float]:
    """Seconds of CPU of each run."""
    return [cost.cpu_s for cost in costs]


def facts(costs: Sequence[Cost], name: str) -> list[float]:
    """The named number of each run."""
    return [cost.fact(name) for cost in costs]


def free_cores(seconds: float = 1.0) -> float:
    """How many cores stand idle while this process waits.

    The load average would do, but for a minute it counts what this very command has just done.
    """
    cores = float(os.cpu_count() or 1)
    if hasattr(os, "sched_getaffinity"):
        cores = float(len(os.sched_getaffinity(0)))
    if not PROC_STAT.exists():
        return max(0.0, cores - os.getloadavg()[0])
    before = _ticks()
    time.sleep(seconds)
    idle, total = (after - earlier for after, earlier in zip(_ticks(), before, strict=True))
    return cores * idle / total if total else cores


def _ticks() -> tuple[int, int]:
    """Idle and all clock ticks of all cores since the machine started."""
    words = PROC_STAT.read_text(encoding="ascii").splitlines()[0].split()[1:9]
    ticks = [int(word) for word in words]
    return sum(ticks[i] for i in IDLE_FIELDS), sum(ticks)
