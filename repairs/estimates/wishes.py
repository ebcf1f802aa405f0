"""What is wished for an option and its lines, before any row is written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from repairs.findings.models import Finding

OPTION_FIELDS = ("kind", "title", "promise", "risk", "reversibility", "left_out", "ceiling")
LINE_FIELDS = ("kind", "words", "minutes_low", "minutes_high", "amount", "is_sampling")


@dataclass(frozen=True, kw_only=True)
class LineWish:
    """A line as it was typed; ``procedure`` is the key of one, for work."""

    kind: str
    procedure: str = ""
    findings: Sequence[Finding] = field(default_factory=tuple)
    words: str = ""
    minutes_low: int | None = None
    minutes_high: int | None = None
    amount: Decimal | None = None
    is_sampling: bool = False


@dataclass(frozen=True, kw_only=True)
class OptionWish:
    """An option as it was typed; ``ceiling`` is with tax, and empty for the upper total."""

    kind: str
    title: str = ""
    promise: str = ""
    risk: str = ""
    reversibility: str = ""
    left_out: str = ""
    ceiling: Decimal | None = None
    lines: Sequence[LineWish] = field(default_factory=tuple)
