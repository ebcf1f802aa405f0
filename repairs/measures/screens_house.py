"""The house that is visited: the demo in a folder of its own, served as a workshop serves it."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.request import urlopen

from repairs.measures.harness import HOUSE, MeasureError, command, run

STARTS_S = 60


@dataclass(frozen=True)
class Served:
    """Where the demo is served, and the path of the link that an owner was sent."""

    origin: str
    link: str


def demo(folder: Path) -> dict[str, str]:
    """Play the demo into a folder of its own; return the environment of that house.

    Raises MeasureError with its last words.
    """
    environment = {**os.environ, "SAUTEREAU_DATA": str(folder), "SAUTEREAU_DEBUG": "0"}
    words = [sys.executable, "manage.py", "demo", "--no-serve", "--papers", str(folder / "papers")]
    told = subprocess.run(  # noqa: S603 - our own words
        words, cwd=HOUSE, env=environment, capture_output=True, text=True, check=False
    )
    if told.returncode:
        raise MeasureError(f"the demo failed: {told.stderr.strip()[-300:]}")
    return environment


@contextmanager
def served(folder: Path) -> Iterator[Served]:
    """Set the demo up in the folder, offer an owner something, and serve it."""
    environment = demo(folder)
    link = str(run(command("offer_once"), folder).facts["path"])
    with server(environment) as (origin, _pid):
        yield Served(origin, link)


@contextmanager
def server(
    environment: Mapping[str, str], complaints: int | None = None
) -> Iterator[tuple[str, int]]:
    """The real server of that house, as README runs it: where it listens, and its process.

    ``complaints`` goes where ``subprocess`` says for the standard error.
    """
    port = free_port()
    words = ["-m", "gunicorn", "--config", "python:workshop.serving", "workshop.wsgi"]
    more = ["--bind", f"127.0.0.1:{port}", "--log-level", "error"]
    running = subprocess.Popen(  # noqa: S603 - our own words
        [sys.executable, *words, *more], cwd=HOUSE, env=environment, stderr=complaints
    )
    try:
        wait_for(f"http://127.0.0.1:{port}/verify/")
        yield f"http://127.0.0.1:{port}", running.pid
    finally:
        running.terminate()
        running.wait(timeout=STARTS_S)


def free_port() -> int:
    """A port of this machine on which nobody listens."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def wait_for(address: str) -> None:
    """Until the server answers there. Raises MeasureError after a minute."""
    until = time.monotonic() + STARTS_S
    while True:
        try:
            urlopen(address).close()  # noqa: S310 - our own server
        except OSError:
            if time.monotonic() > until:
                raise MeasureError("the server did not start") from None
            time.sleep(0.2)
        else:
            return
