"""Kills of the real server, as README runs it, in the middle of what is sent to it."""

from __future__ import annotations

import http.client
import json
import os
import signal
import time
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from http.cookies import SimpleCookie
from random import Random
from secrets import token_hex
from threading import Timer
from typing import Any
from urllib.parse import urlencode, urlsplit

from django.db import connections

from repairs.measures.killed.batches import acknowledged, cut_off, developed
from repairs.measures.killed.deeds import Deed, Paid, Sent
from repairs.measures.killed.hand import Struck, Tempo, helpers_of
from repairs.measures.killed.house import Laid
from repairs.measures.killed.pages import SESSION
from repairs.measures.killed.proof import Tally, hold_swept
from repairs.measures.screens_house import server

PATIENCE_S = 60
GONE = (OSError, http.client.HTTPException)


@dataclass
class Answered:
    """An answer, by the names that Django's own client has for it."""

    status_code: int
    headers: dict[str, str]
    content: bytes

    def json(self) -> Any:
        """What it says as data."""
        return json.loads(self.content)


@dataclass
class Wired:
    """A browser on a wire."""

    origin: str
    cookies: SimpleCookie = field(default_factory=SimpleCookie)

    def get(self, path: str) -> Answered:
        """Open a page."""
        return self._ask("GET", path, b"", {})

    def post(
        self, path: str, data: Any, content_type: str = "", headers: dict[str, str] | None = None
    ) -> Answered:
        """Send a form, or data."""
        if isinstance(data, dict):
            data, content_type = urlencode(data, doseq=True), "application/x-www-form-urlencoded"
        body = data.encode() if isinstance(data, str) else data
        return self._ask("POST", path, body, {"Content-Type": content_type, **(headers or {})})

    def _ask(self, how: str, path: str, body: bytes, more: dict[str, str]) -> Answered:
        line = http.client.HTTPConnection(urlsplit(self.origin).netloc, timeout=PATIENCE_S)
        said = "; ".join(f"{name}={one.value}" for name, one in self.cookies.items())
        try:
            line.request(how, path, body or None, {"Cookie": said, "Connection": "close", **more})
            answer = line.getresponse()
            for told in answer.headers.get_all("Set-Cookie", []):
                self.cookies.load(told)
            return Answered(answer.status, dict(answer.headers.items()), answer.read())
        finally:
            line.close()


def _signed_in(origin: str, session: str) -> Wired:
    who = Wired(origin)
    if session:
        who.cookies[SESSION] = session
    return who


def kill_server(laid: Laid, kills: int, chance: Random) -> Tally:
    """Kill the server with all its processes; another one is then sent what was cut off."""
    tally, tempo = Tally(), Tempo()
    cut: list[tuple[int, str]] = []
    first = f"served-{token_hex(4)}"
    connections.close_all()
    for number in range(kills + 1):
        with server(os.environ) as (origin, pid):
            deeds = [kind(partial(_signed_in, origin)) for kind in (Sent, Paid)]
            for which, line in cut:
                cut_off(deeds[which], line, tally)
            cut.clear()
            if number == kills:
                break
            which = chance.randrange(2)
            found = _struck(deeds[which], laid, f"{first}-{number}", pid, chance, tempo)
            tally.counts["kills"] += 1
            tally.counts["inside"] += found.in_flight is not None
            tally.counts["acknowledged"] += len(found.acknowledged)
            acknowledged(deeds[which], found, tally)
            if found.in_flight is not None:
                cut.append((which, found.in_flight))
    developed(laid, tally)
    for deed in deeds:
        tally.wrong("half", deed.odd())
    hold_swept(tally)
    return tally


def _struck(deed: Deed, laid: Laid, mark: str, pid: int, chance: Random, tempo: Tempo) -> Struck:
    """Two whole deeds, so that all is loaded; then one in whose middle the server is killed."""
    found = Struck()
    for number in range(2):
        whole = deed.prepare(laid, f"{mark}-{number}")
        began = time.monotonic()
        status, where = deed.do(whole)
        found.acknowledged.append((whole.text(), f"{status} {where}"))
    tempo.note(time.monotonic() - began)
    act = deed.prepare(laid, f"{mark}-2")
    found.in_flight = act.text()
    timer = Timer(chance.random() * tempo.usual_s, partial(_kill_all, pid))
    timer.start()
    with suppress(*GONE):
        status, where = deed.do(act)
        found.acknowledged.append((found.in_flight, f"{status} {where}"))
        found.in_flight = None
    timer.join()
    return found


def _kill_all(pid: int) -> None:
    """The master, which is our child and not yet waited for, and those that it started."""
    for one in (pid, *helpers_of(pid)):
        with suppress(ProcessLookupError):
            os.kill(one, signal.SIGKILL)
