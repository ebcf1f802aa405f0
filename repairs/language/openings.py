"""The first sentences of a text that is too long for its place."""

from __future__ import annotations

ENDS = (". ", "! ", "? ", "… ", ".\n", "\n")
LEFT_OUT = "…"


def opening(words: str, most: int) -> str:
    """The words, or as many whole sentences of them as the number of letters allows."""
    if len(words) <= most:
        return words
    ends = [words.rfind(end, 0, most) + len(end.rstrip()) for end in ENDS if end in words[:most]]
    cut = max(ends, default=0) or words.rfind(" ", 0, most)
    return f"{words[: cut if cut > 0 else most].rstrip()} {LEFT_OUT}"
