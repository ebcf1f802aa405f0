"""One thing that a rule found."""

from __future__ import annotations

from dataclasses import dataclass

FATAL, WARNING, WAIVED = "fatal", "warning", "waived"


@dataclass(frozen=True, kw_only=True)
class Finding:
    """``where`` is a path or a line in the XML; empty for the invoice as a whole."""

    rule: str
    flag: str
    text: str
    where: str = ""
