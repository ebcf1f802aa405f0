"""Every page of the demo in a real browser: what it weighs, how soon it stands, how long it is.

Each page is opened cold, without a cache. Weight is what came over the wire, packed, all but the
photos. The network of the three pages that are timed is one of 1.6 Mbit/s and 150 ms, on a CPU
slowed to a quarter. LCP and CLS are those that the browser itself reports (W3C, Largest Contentful
Paint; Layout Instability).
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from urllib.parse import urlsplit
from urllib.request import urlopen

from django.urls import Resolver404, resolve

from repairs.measures.harness import HOUSE, Figure, MeasureError, Plan, Say

PHONE = {"width": 360, "height": 740}
MBIT_S, LATENCY_MS, SLOWER = 1.6, 150, 4
MOST_KB, MOST_LCP_S, MOST_CLS, MOST_SCREENS = 150, 1.5, 0.02, 4
TIMED = {"bench:home": "bench", "bench:case": "case", "findings:photo": "photo"}
FEW = 3  # pages of a quick run
STARTS_S = 30
SETTLED_MS = 400
NOT_PAGES = ("/static/", ".pdf", ".xml", ".zip", ".csv", ".txt", "/file/", "/download")
WATCH = """
window.lcp = 0; window.cls = 0;
new PerformanceObserver(list => {
    for (const one of list.getEntries()) window.lcp = one.startTime;
}).observe({type: "largest-contentful-paint", buffered: true});
new PerformanceObserver(list => {
    for (const one of list.getEntries()) if (!one.hadRecentInput) window.cls += one.value;
}).observe({type: "layout-shift", buffered: true});
"""


@dataclass(frozen=True)
class Visit:
    """What one page cost: kilobytes without photos, seconds, shift, and length in phone screens."""

    address: str
    kb: float
    lcp_s: float
    cls: float
    screens: float
    links: tuple[str, ...]


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Play the demo, serve it, and open every kind of page that its links lead to."""
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if find_spec("playwright") is None or browser is None:
        raise MeasureError(
            "This needs the system's Chromium and the test tools: "
            "“python3 manage.py test --version” installs those, then measure again."
        )
    with TemporaryDirectory(prefix="measure-screens-") as name:
        folder = Path(name)
        say("playing the demo")
        with _served(folder) as origin:
            visits = _crawl(origin, browser, FEW if plan.rounds == 1 else None, say)
    return _figures(visits)


def _figures(visits: dict[str, Visit]) -> dict[str, Figure]:
    def worst(field: str, unit: str, goal: str) -> Figure:
        visit = max(visits.values(), key=lambda one: float(getattr(one, field)))
        return Figure(getattr(visit, field), unit, goal, note=visit.address)

    long = [one for one in visits.values() if one.screens > MOST_SCREENS]
    timed = {
        f"{word}_lcp": Figure(visits[name].lcp_s, "s", f"<= {MOST_LCP_S}", visits[name].address)
        for name, word in TIMED.items()
        if name in visits
    }
    return {
        "pages": Figure(len(visits), "kinds of page"),
        "heaviest": worst("kb", "KB without photos", f"<= {MOST_KB}"),
        **timed,
        "shift": worst("cls", "of CLS", f"<= {MOST_CLS}"),
        "longest": worst("screens", "phone screens", f"<= {MOST_SCREENS}"),
        "too_long": Figure(
            len(long), "pages", "<= 0", note=", ".join(sorted(one.address for one in long))
        ),
    }


# The house that is visited -------------------------------------------------------------------


@contextmanager
def _served(folder: Path) -> Iterator[str]:
    """Set the demo up in the folder and serve it; gives its address."""
    environment = {**os.environ, "SAUTEREAU_DATA": str(folder), "SAUTEREAU_DEBUG": "0"}
    demo = [sys.executable, "manage.py", "demo", "--no-serve", "--papers", str(folder / "papers")]
    told = subprocess.run(  # noqa: S603 - our own words
        demo, cwd=HOUSE, env=environment, capture_output=True, text=True, check=False
    )
    if told.returncode:
        raise MeasureError(f"the demo failed: {told.stderr.strip()[-300:]}")
    port = _free_port()
    words = ["-m", "gunicorn", "workshop.wsgi", "--bind", f"127.0.0.1:{port}"]
    more = ["--workers", "1", "--threads", "8", "--log-level", "error", "--no-control-socket"]
    server = subprocess.Popen(  # noqa: S603 - our own words
        [sys.executable, *words, *more], cwd=HOUSE, env=environment
    )
    try:
        _wait_for(f"http://127.0.0.1:{port}/verify/")
        yield f"http://127.0.0.1:{port}"
    finally:
        server.terminate()
        server.wait(timeout=STARTS_S)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _wait_for(address: str) -> None:
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


# The visitor ---------------------------------------------------------------------------------


def _crawl(origin: str, browser: str, most: int | None, say: Say) -> dict[str, Visit]:
    """One page of each kind that links lead to, by the name of its address."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - a test tool

    words = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
    found: dict[str, Visit] = {}
    with sync_playwright() as driver:
        chromium = driver.chromium.launch(executable_path=browser, args=words)
        state = _signed_in(chromium, origin)
        waiting = ["/"]
        while waiting and (most is None or len(found) < most):
            path = waiting.pop(0)
            name = _name_of(path)
            if not name or name in found:
                continue
            found[name] = _visit(chromium, state, origin, path, timed=name in TIMED)
            waiting += found[name].links
            say(f"{path}: {found[name].kb:.0f} KB, {found[name].screens:.1f} screens")
        chromium.close()
    return found


def _signed_in(chromium: Any, origin: str) -> Any:
    """The cookies of the demo's principal."""
    from repairs.management.commands.demo import PASSWORD  # noqa: PLC0415 - only here

    context = chromium.new_context()
    page = context.new_page()
    page.goto(f"{origin}/")
    page.fill("#id_username", "helene")
    page.fill("#id_password", os.environ.get("SAUTEREAU_DEMO_PASSWORD", PASSWORD))
    page.press("#id_password", "Enter")
    page.wait_for_url(f"{origin}/")
    state = context.storage_state()
    context.close()
    return state


def _name_of(path: str) -> str:
    """The name of the address; empty where it is no page."""
    if any(part in path for part in NOT_PAGES):
        return ""
    try:
        return resolve(urlsplit(path).path).view_name
    except Resolver404:
        return ""


def _visit(chromium: Any, state: Any, origin: str, path: str, *, timed: bool) -> Visit:
    context = chromium.new_context(viewport=PHONE, storage_state=state)
    page = context.new_page()
    page.add_init_script(WATCH)
    wire = context.new_cdp_session(page)
    sizes: dict[str, float] = {}
    photos: set[str] = set()
    wire.send("Network.enable")
    wire.on("Network.responseReceived", lambda told: _note_photo(told, photos))
    wire.on(
        "Network.loadingFinished",
        lambda told: sizes.update({told["requestId"]: told["encodedDataLength"]}),
    )
    if timed:
        _slow_down(wire)
    page.goto(f"{origin}{path}", wait_until="networkidle")
    page.wait_for_timeout(SETTLED_MS)
    facts = page.evaluate(FACTS)
    context.close()
    weight = sum(size for key, size in sizes.items() if key not in photos)
    return Visit(
        path,
        weight / 1000,
        facts["lcp"] / 1000,
        facts["cls"],
        facts["height"] / PHONE["height"],
        tuple(facts["links"]),
    )


FACTS = """
() => ({
    lcp: window.lcp,
    cls: window.cls,
    height: document.documentElement.scrollHeight,
    links: [...document.querySelectorAll("a[href^='/']")].map(a => a.getAttribute("href")),
})
"""


def _note_photo(told: dict[str, Any], photos: set[str]) -> None:
    if "/photos/" in told["response"]["url"] and told["type"] == "Image":
        photos.add(told["requestId"])


def _slow_down(wire: Any) -> None:
    bytes_s = MBIT_S * 1e6 / 8
    wire.send(
        "Network.emulateNetworkConditions",
        {
            "offline": False,
            "latency": LATENCY_MS,
            "downloadThroughput": bytes_s,
            "uploadThroughput": bytes_s,
        },
    )
    wire.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
