"""The head of the log as plain data; papers carry it."""

from __future__ import annotations

from dataclasses import dataclass

PRINTED, GROUP = 20, 4


@dataclass(frozen=True)
class Head:
    """The last line of the log at some moment: its number, and the hash that proves all before."""

    seq: int
    sha256: str

    @property
    def short(self) -> str:
        """As it is printed: 80 bits, in groups that an eye can hold."""
        return " ".join(self.sha256[at : at + GROUP] for at in range(0, PRINTED, GROUP))
