"""How a page of the store is read."""

from __future__ import annotations

import html
from typing import Any


def text_of(answer: Any) -> str:
    return html.unescape(answer.text).replace("\u00a0", " ")
