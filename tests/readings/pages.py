"""How a page of readings is read."""

from __future__ import annotations

import html
from typing import Any


def page_of(answer: Any) -> str:
    return " ".join(html.unescape(answer.text).replace("\u00a0", " ").split())
