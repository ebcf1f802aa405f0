"""How a decision comes by word of mouth, as the verb wants it."""

from __future__ import annotations

from typing import Any


def spoken(**otherwise: Any) -> dict[str, Any]:
    """By telephone, with its words and its confirmation."""
    return {
        "how": "telephone",
        "signature": [],
        "words": "“Do the first one.”",
        "confirmation": "message of the same day",
    } | otherwise
