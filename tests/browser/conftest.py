"""A real Chromium, a real server, and a database that the server's threads may share.

SQLite's test database lies in memory, where all threads would share one connection and mix
their transactions; a copy on disk takes its place, so that each request and the worker have a
connection of their own, as they have in the house. PostgreSQL needs nothing.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.db import connections
from django.test import Client as TestClient
from playwright.sync_api import Browser, BrowserContext, expect, sync_playwright
from pytest_django.live_server_helper import LiveServer

from repairs.jobs.worker import Worker
from repairs.people.models import User
from tests.beside import shared_database
from tests.browser.walk import DESK, Walk
from tests.outside import browser as outside

PATIENCE_MS = 120_000  # of a busy machine: what is there is found at once
HANDLER = "process_request_thread"

Open = Callable[..., Walk]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """Not for the session: other modules start a Playwright of their own."""
    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as playwright:
        browser = outside.launch(playwright)
        yield browser
        browser.close()


@pytest.fixture
def threads_database(transactional_db, tmp_path: Path) -> Iterator[None]:
    known = connections.settings["default"]
    with shared_database(tmp_path):
        connections.settings["default"] = connections["default"].settings_dict
        try:
            yield
        finally:
            connections.settings["default"] = known


@pytest.fixture
def live_server(threads_database) -> Iterator[LiveServer]:
    """A server for one test: the plugin's own keeps to the database that it first saw."""
    server = LiveServer("127.0.0.1")
    yield server
    server.stop()
    _wait_for_handlers()


def _wait_for_handlers() -> None:
    """Until the last request is answered: its connection would keep the database from closing."""
    end = time.monotonic() + PATIENCE_MS / 1000
    while time.monotonic() < end:
        if not any(HANDLER in thread.name for thread in threading.enumerate()):
            return
        time.sleep(0.02)
    raise AssertionError("a request was still being answered after the test")


@pytest.fixture
def worker(live_server) -> Iterator[None]:
    """The thread that develops photos and prints papers, for as long as the test runs."""
    with working():
        yield


@contextmanager
def working() -> Iterator[None]:
    stop = threading.Event()
    thread = threading.Thread(target=Worker(stop).run_forever, name="jobs of a test")
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join()


@pytest.fixture
def open_window(chromium: Browser, live_server, settings) -> Iterator[Open]:
    """Open a window of a new visitor, or of a person who is signed in already."""
    contexts: list[BrowserContext] = []

    def open_one(
        person: User | None = None,
        *,
        size: tuple[int, int] = DESK,
        language: str = "en",
        hands: type[Walk] = Walk,
        **options: Any,
    ) -> Walk:
        width, height = size
        context = chromium.new_context(
            base_url=live_server.url,
            viewport={"width": width, "height": height},
            locale={"fr": "fr-FR", "en": "en-GB"}[language],
            has_touch=width < DESK[0],
            **options,
        )
        contexts.append(context)
        context.set_default_timeout(PATIENCE_MS)
        if person is not None:
            context.add_cookies([_session_of(person, live_server.url, settings)])
        return hands(context.new_page(), language)

    yield open_one
    for context in contexts:
        context.close()


def _session_of(person: User, address: str, settings: Any) -> Any:
    client = TestClient()
    client.force_login(person)
    name = settings.SESSION_COOKIE_NAME
    return {"name": name, "value": client.cookies[name].value, "url": address}
