"""Minutes as people type them: “90”, “1 h 30”, “1h30”, “1:30”, “90 min”, “1,5” for hours."""

from __future__ import annotations

NBSP = "\u00a0"
MINUTES_AN_HOUR = 60


def hours_words(low: int, high: int) -> str:
    """Minutes as hours, from lower to upper: “1 h 30 – 2 h”; empty when there are none."""
    if not high:
        return ""
    return duration_words(low) if low == high else f"{duration_words(low)} – {duration_words(high)}"


def duration_words(minutes: int) -> str:
    """“45 min”, “2 h”, “1 h 30”."""
    hours, rest = divmod(minutes, MINUTES_AN_HOUR)
    if not hours:
        return f"{rest}{NBSP}min"
    return f"{hours}{NBSP}h" if not rest else f"{hours}{NBSP}h{NBSP}{rest:02d}"
