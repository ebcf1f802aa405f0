"""How a file is sent in pieces."""

from __future__ import annotations

from typing import Any

from django.test import Client as Browser
from django.urls import reverse

from repairs.cases.models import Case


def begin(browser: Browser, case: Case, **said: Any) -> Any:
    facts = {"name": "IMG_1.jpg", "phase": "arrival", "view": "front", "modified": "17"} | said
    return browser.post(
        reverse("photos:begin", args=[case.number]), facts, content_type="application/json"
    )


def send(browser: Browser, case: Case, uuid: str, piece: bytes, offset: object) -> Any:
    address = reverse("photos:send", args=[case.number, uuid])
    return browser.post(
        f"{address}?offset={offset}", piece, content_type="application/octet-stream"
    )
