"""How a page of the store is read, and what is left of a piece."""

from __future__ import annotations

import html
from typing import Any

from repairs.wood.models import Piece


def text_of(answer: Any) -> str:
    return html.unescape(answer.text).replace("\u00a0", " ")


def left(piece: Piece) -> tuple[Any, Any]:
    """What is left as the row says it, and as a list has it summed by the database."""
    return (
        Piece.objects.get(pk=piece.pk).left_cm3,
        Piece.objects.with_left().get(pk=piece.pk).left_cm3,
    )
