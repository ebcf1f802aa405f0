"""What is known of a kind of instrument before any one of them is seen.

A pattern is offered, never claimed: usual materials, sizes and strings help whoever describes an
instrument; what the papers say comes from the instrument's own rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from repairs.language.text import in_language

Words = Mapping[str, str]
PERMISSIONS = ("turn", "string", "play")  # in the order in which a luthier dares them


@dataclass(frozen=True)
class PartPattern:
    """A node of a kind's parts tree; ``material`` is the usual one, or empty."""

    key: str
    label: Words
    material: str
    depth: int
    parent: str


@dataclass(frozen=True)
class View:
    """A standard view to be photographed."""

    slug: str
    label: Words
    hint: Words
    required: bool

    def __str__(self) -> str:
        return in_language(self.label)


@dataclass(frozen=True)
class PartMap:
    """A drawing whose parts can be tapped, and the views of photos that it serves."""

    name: str
    label: Words
    views: tuple[str, ...]

    def __str__(self) -> str:
        return in_language(self.label)


@dataclass(frozen=True)
class StringPattern:
    """A string as usually fitted; ``note`` in Helmholtz notation, empty where tunings differ."""

    key: str
    label: Words
    note: str
    role: str

    def __str__(self) -> str:
        return f"{in_language(self.label)} {self.note}".strip()


@dataclass(frozen=True)
class SizePattern:
    """A size to be measured, in ``unit``; ``typical_mm`` catches a slip of the pen, no more."""

    key: str
    label: Words
    unit: str
    typical_mm: tuple[float, float] | None


@dataclass(frozen=True)
class KindSheet:
    """An entry sheet of this kind, and what the sheet has to know of it.

    ``defaults`` are offered in its cells; cells in ``without`` ask for what this kind has not.
    """

    gauge: str
    defaults: Words
    without: frozenset[str]


@dataclass(frozen=True)
class CareText:
    """A line of the care sheet that only this kind needs, under a section of care.json."""

    section: str
    when: tuple[str, ...]
    words: Words
    source: str


@dataclass(frozen=True)
class Kind:
    """One file of ``fixtures/kinds``. Code asks for its families, never for its slug."""

    slug: str
    label: Words
    hs_number: str
    hs_text: Words
    families: tuple[str, ...]
    permissions: tuple[str, ...]
    key_count: int | None
    is_fallback: bool
    sheets: tuple[KindSheet, ...]
    strings: tuple[StringPattern, ...]
    dimensions: tuple[SizePattern, ...]
    views: tuple[View, ...]
    maps: tuple[PartMap, ...]
    parts: tuple[PartPattern, ...]
    care: tuple[CareText, ...]

    def __str__(self) -> str:
        return in_language(self.label)

    def fits(self, families: Iterable[str]) -> bool:
        """Whether something meant for these families is meant for it; for none means for all."""
        wanted = set(families)
        return not wanted or bool(wanted & set(self.families))

    def sheet(self, gauge: str) -> KindSheet | None:
        """What this kind says of an entry sheet; None where it has no use of it."""
        return next((one for one in self.sheets if one.gauge == gauge), None)
