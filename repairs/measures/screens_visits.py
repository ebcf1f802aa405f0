"""The visitor: a phone that opens every page of a house, and one of each kind cold and slowly."""

from __future__ import annotations

import os
from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit

from django.urls import Resolver404, resolve

from repairs.measures.harness import MeasureError, Say
from repairs.measures.screens_house import Served

PHONE = {"width": 390, "height": 844}
MBIT_S, LATENCY_MS, SLOWER = 1.6, 150, 4
LANGUAGES = ("fr", "en")
SETTLED_MS = 400
PATIENCE_MS = 60_000
NOT_FOUND, BROKEN = 404, 500
NOT_PAGES = ("/static/", "/proofs/", ".pdf", ".xml", ".zip", ".csv", ".txt", "/file/", "/download")
WATCH = """
window.lcp = 0; window.cls = 0;
new PerformanceObserver(list => {
    for (const one of list.getEntries()) window.lcp = one.startTime;
}).observe({type: "largest-contentful-paint", buffered: true});
new PerformanceObserver(list => {
    for (const one of list.getEntries()) if (!one.hadRecentInput) window.cls += one.value;
}).observe({type: "layout-shift", buffered: true});
"""
FACTS = """
() => ({
    lcp: window.lcp,
    cls: window.cls,
    height: document.documentElement.scrollHeight,
    links: [...document.querySelectorAll("a[href^='/']")].map(a => a.getAttribute("href")),
})
"""


@dataclass(frozen=True)
class Page:
    """How long a page is, in phone screens, and how far its content jumped."""

    path: str
    kind: str
    language: str
    screens: float
    cls: float


@dataclass(frozen=True)
class Cold:
    """What a page of that kind costs without a cache: kilobytes without photos, seconds, jumps."""

    path: str
    kind: str
    kb: float
    lcp_s: float
    cls: float


@dataclass
class Visits:
    """All that was opened."""

    pages: list[Page] = field(default_factory=list)
    cold: list[Cold] = field(default_factory=list)


def visited(
    house: Served, browser: str, timed: Collection[str], most: int | None, say: Say
) -> Visits:
    """Open every page in both languages, then one of each kind cold; the first few at ``most``."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - a test tool

    words = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
    visits = Visits()
    with sync_playwright() as driver:
        chromium = driver.chromium.launch(executable_path=browser, args=words)
        state = _signed_in(chromium, house.origin)
        for language in LANGUAGES:
            visits.pages += _read_all(chromium, state, house, language, most)
            say(f"{len(visits.pages)} pages are read, the last in {language}")
        kinds = {page.kind: page.path for page in reversed(visits.pages)}
        for kind, path in kinds.items():
            visits.cold.append(_opened_cold(chromium, state, house.origin, path, kind, timed))
            say(f"{path}: {visits.cold[-1].kb:.0f} KB cold")
        chromium.close()
    return visits


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


def _read_all(
    chromium: Any, state: Any, house: Served, language: str, most: int | None
) -> list[Page]:
    """What the owner opens by the link, signed in nowhere; then all that the house itself reads."""
    owners = _follow(chromium, None, house.origin, language, house.link, 1)
    return owners + _follow(chromium, state, house.origin, language, "/", most)


def _follow(
    chromium: Any, state: Any, origin: str, language: str, start: str, most: int | None
) -> list[Page]:
    """Follow every link from there, on one phone that keeps its cache."""
    context = chromium.new_context(viewport=PHONE, storage_state=state)
    page = context.new_page()
    page.add_init_script(WATCH)
    page.set_default_timeout(PATIENCE_MS)
    _speak(page, origin, language)
    found: dict[str, Page] = {}
    waiting, known = [start], {start}
    while waiting and (most is None or len(found) < most):
        path = waiting.pop(0)
        facts = _facts(page, origin, path)
        if facts is None:
            continue
        long = facts["height"] / PHONE["height"]
        found[path] = Page(path, _kind_of(path), language, long, facts["cls"])
        new = [one for one in map(_whole, facts["links"]) if one not in known and _kind_of(one)]
        known.update(new)
        waiting += dict.fromkeys(new)
    context.close()
    return list(found.values())


def _speak(page: Any, origin: str, language: str) -> None:
    """Take the other language by the button in the foot, unless it is spoken already."""
    page.goto(f"{origin}/")
    button = page.locator(f"button[name=language][value={language}]").first
    if button.count():
        button.click()
        page.wait_for_load_state()
    if page.locator("html").get_attribute("lang") != language:
        raise MeasureError(f"the house does not speak {language}")


def _facts(page: Any, origin: str, path: str) -> dict[str, Any] | None:
    """What the page is like; None where it is none but a file."""
    from playwright.sync_api import Error  # noqa: PLC0415 - a test tool

    try:
        answer = page.goto(f"{origin}{path}", wait_until="load")
    except Error as trouble:
        if "Download is starting" in str(trouble):
            return None
        raise
    if answer is None or "html" not in answer.headers.get("content-type", ""):
        return None
    if answer.status == NOT_FOUND or answer.status >= BROKEN:  # a page that refuses is a page
        raise MeasureError(f"{path} answers {answer.status}")
    return dict(page.evaluate(FACTS))


def _whole(link: str) -> str:
    """An address without the place in the page."""
    return link.partition("#")[0]


def _kind_of(path: str) -> str:
    """The name of the address; empty where it is no page."""
    if any(part in path for part in NOT_PAGES):
        return ""
    try:
        return resolve(urlsplit(path).path).view_name
    except Resolver404:
        return ""


def _opened_cold(
    chromium: Any, state: Any, origin: str, path: str, kind: str, timed: Collection[str]
) -> Cold:
    context = chromium.new_context(viewport=PHONE, storage_state=state)
    page = context.new_page()
    page.set_default_timeout(PATIENCE_MS)
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
    _slow_down(wire, cpu=SLOWER if kind in timed else 1)
    page.goto(f"{origin}{path}", wait_until="networkidle")
    page.wait_for_timeout(SETTLED_MS)
    facts = page.evaluate(FACTS)
    context.close()
    weight = sum(size for key, size in sizes.items() if key not in photos)
    return Cold(path, kind, weight / 1000, facts["lcp"] / 1000, facts["cls"])


def _note_photo(told: dict[str, Any], photos: set[str]) -> None:
    if "/photos/" in told["response"]["url"] and told["type"] == "Image":
        photos.add(told["requestId"])


def _slow_down(wire: Any, *, cpu: int) -> None:
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
    wire.send("Emulation.setCPUThrottlingRate", {"rate": cpu})
