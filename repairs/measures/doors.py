"""What strangers cost who works: large bodies from nobody, while a signed-in page is opened.

The real server, as README runs it and without a proxy before it, so that every byte is its own
affair. First the page by itself, then while twenty strangers a second begin to send 100 MB each, to
the page that checks papers, the sign-in and a link; both are the same page in the same run.
"""

from __future__ import annotations

import http.client
import os
import re
import socket
import subprocess
import threading
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import urlsplit

from repairs.measures.harness import Figure, MeasureError, Plan, Say, command, run
from repairs.measures.screens_house import server

RATE_S, BODY_BYTES, PIECE = 20, 100 * 1024 * 1024, b"x" * 65_536
QUIET_S, QUICK_S, SLOW_POSTS = 20.0, 2.0, 6
ASKS_EVERY_S = 0.1  # a person who leafs
PLACES = ("/verify/", "/sign-in/", "/consent/a-guess/")
KB = re.compile(r"^(?:VmRSS|VmHWM):\s+(\d+) kB$", re.M)
MOST_MB, MOST_RATIO, MOST_SLOW_S = 100, 2, 25


@dataclass(frozen=True)
class Door:
    """Where the server listens, its processes, and the cookie of who signed in."""

    address: tuple[str, int]
    pid: int
    cookie: str


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Make a small house, serve it, and knock."""
    seconds = QUICK_S if plan.rounds == 1 else QUIET_S
    with TemporaryDirectory(prefix="measure-doors-") as name, served(Path(name)) as door:
        leaf(door, seconds / 4)  # the first pages load what later ones have
        say(f"the page by itself, {seconds:.0f} s")
        quiet, before_mb = leaf(door, seconds), held_mb(door.pid)
        say(f"the page while {RATE_S} strangers a second send {BODY_BYTES // 1024**2} MB each")
        with knocking(door) as answers:
            loud = leaf(door, seconds)
        after_mb = most_mb(door.pid)
        say("how long slow senders hold a thread")
        held_s = drip(door) if plan.rounds > 1 else 0.0
    return {
        "pages": Figure(len(quiet) + len(loud), "pages opened"),
        "knocks": Figure(sum(answers.values()), "bodies", note=_told(answers)),
        "quiet_p95": Figure(p95(quiet) * 1000, "ms"),
        "loud_p95": Figure(p95(loud) * 1000, "ms"),
        "slower": Figure(p95(loud) / p95(quiet), "× quiet", f"<= {MOST_RATIO}"),
        "memory": Figure(max(0.0, after_mb - before_mb), "MB more", f"<= {MOST_MB}"),
        "slow_post": Figure(held_s, "s until cut", f"<= {MOST_SLOW_S}"),
    }


def _told(answers: Counter[str]) -> str:
    return ", ".join(f"{count} × {what}" for what, count in sorted(answers.items()))


def p95(times: Sequence[float]) -> float:
    """The time within which nineteen of twenty stay. Raises MeasureError when nothing was timed."""
    if not times:
        raise MeasureError("no page was opened in time")
    return sorted(times)[int(0.95 * (len(times) - 1))]


def leaf(door: Door, seconds: float) -> list[float]:
    """Open the bench again and again; seconds until each page was there whole."""
    times, until = [], time.monotonic() + seconds
    while time.monotonic() < until:
        began = time.monotonic()
        line = http.client.HTTPConnection(*door.address, timeout=60)
        line.request("GET", "/", headers={"Cookie": door.cookie, "Accept-Encoding": "gzip"})
        answer = line.getresponse()
        answer.read()
        line.close()
        if answer.status != 200:
            raise MeasureError(f"the bench answered {answer.status}")
        times.append(time.monotonic() - began)
        time.sleep(ASKS_EVERY_S)
    return times


@contextmanager
def knocking(door: Door) -> Iterator[Counter[str]]:
    """Strangers, so many a second, until the block ends; how they were answered."""
    answers: Counter[str] = Counter()
    over, lock = threading.Event(), threading.Lock()
    inside: list[threading.Thread] = []

    def knock(number: int) -> None:
        """One of them."""
        said = _send_large(door, PLACES[number % len(PLACES)], over)
        with lock:
            answers[said] += 1

    def come() -> None:
        """All of them, evenly."""
        number = 0
        while not over.wait(1 / RATE_S):
            inside.append(threading.Thread(target=knock, args=(number,), daemon=True))
            inside[-1].start()
            number += 1

    gate = threading.Thread(target=come, daemon=True)
    gate.start()
    try:
        yield answers
    finally:
        over.set()
        gate.join()
        for one in inside:
            one.join(10)


def _send_large(door: Door, place: str, over: threading.Event) -> str:
    head = (
        f"POST {place} HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: {BODY_BYTES}\r\n"
        "Content-Type: multipart/form-data; boundary=x\r\n\r\n"
    )
    with socket.create_connection(door.address, timeout=30) as line:
        with suppress(OSError):  # it is cut while it still sends
            line.sendall(head.encode())
            sent = 0
            while sent < BODY_BYTES and not over.is_set():
                sent += line.send(PIECE)
        with suppress(OSError):
            line.settimeout(5)
            if told := line.recv(64):
                return told.split(b" ")[1].decode()
    return "cut"


def drip(door: Door) -> float:
    """Send bytes one by one on most threads at once; seconds until the last of them was cut."""
    began, ends = time.monotonic(), []

    def one() -> None:
        """One sender, who never stops by itself."""
        with socket.create_connection(door.address, timeout=120) as line, suppress(OSError):
            head = "POST /sign-in/ HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 9000\r\n"
            line.sendall((head + "Content-Type: multipart/form-data; boundary=x\r\n\r\n").encode())
            while time.monotonic() - began < 90:
                line.sendall(b"x")
                time.sleep(0.5)
        ends.append(time.monotonic() - began)

    slow = [threading.Thread(target=one, daemon=True) for _sender in range(SLOW_POSTS)]
    for thread in slow:
        thread.start()
    for thread in slow:
        thread.join()
    return max(ends)


@contextmanager
def served(folder: Path) -> Iterator[Door]:
    """A small house with its principal signed in, served as README says."""
    environment = {**os.environ, "SAUTEREAU_DATA": str(folder), "SAUTEREAU_DEBUG": "0"}
    environment.pop("DATABASE_URL", None)
    made = run(command("doors_house"), folder)
    with server(environment, subprocess.DEVNULL) as (origin, pid):
        address = urlsplit(origin)
        yield Door((str(address.hostname), int(address.port or 0)), pid, str(made.facts["cookie"]))


def held_mb(pid: int) -> float:
    """What the server and its workers hold now."""
    return sum(_of_process(one)[1] for one in _family(pid))


def most_mb(pid: int) -> float:
    """The most that each of them ever held."""
    return sum(_of_process(one)[0] for one in _family(pid))


def _of_process(pid: int) -> tuple[float, float]:
    status = Path(f"/proc/{pid}/status").read_text(encoding="ascii", errors="replace")
    most, now = (int(kb) / 1024 for kb in KB.findall(status))
    return most, now


def _family(pid: int) -> list[int]:
    children = Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii").split()
    return [pid, *(one for child in children for one in _family(int(child)))]
