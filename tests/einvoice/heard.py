"""For what stands in the place of another program: keeps what was said to it, and answers."""

from __future__ import annotations

from typing import Any, TypeVar

Answer = TypeVar("Answer")


def heard(told: list[Any], said: Any, answer: Answer) -> Answer:
    """Keep what was said; give the answer."""
    told.append(said)
    return answer
