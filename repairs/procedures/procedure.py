"""A procedure as plain data: purpose, cautions, steps, what must be read before and after."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from repairs.instruments.consumables import consumables, consumables_of
from repairs.instruments.pattern import Kind
from repairs.language.text import in_language
from repairs.storage.fixtures import read_fixture

Words = Mapping[str, str]
IRREVERSIBLE = "irreversible"


@dataclass(frozen=True)
class Step:
    """One deed of a procedure, in the order in which it is done."""

    key: str
    label: Words

    def __str__(self) -> str:
        return in_language(self.label)


@dataclass(frozen=True)
class WantedLimit:
    """A figure held against another limit than the gauge's own, by this procedure alone."""

    figure: str
    lower: float | None
    upper: float | None
    unit: str
    source: str


@dataclass(frozen=True)
class WantedReading:
    """A reading that the procedure asks for; ``figures`` empty means: whatever is judged."""

    gauge: str
    phase: str
    figures: tuple[str, ...]
    limits: tuple[WantedLimit, ...]

    @property
    def key(self) -> str:
        """Names it in the proof: ``after.wheel``."""
        return f"{self.phase}.{self.gauge}"


@dataclass(frozen=True)
class Procedure:
    """How one work is done: what it is for, what to beware of, what proves it.

    ``minutes`` are the least and the most that it usually takes; ``grade`` says how far it can be
    undone; ``touches`` names what it changes for good (see ``as_found``). Empty ``readings``,
    ``asks`` or ``photos`` want nothing of that sort.
    """

    key: str
    label: Words
    group: str
    families: tuple[str, ...]
    purpose: Words
    cautions: tuple[str, ...]
    steps: tuple[Step, ...]
    materials: tuple[Words, ...]
    material_keys: tuple[str, ...]
    readings: tuple[WantedReading, ...]
    asks: tuple[str, ...]
    photos: tuple[str, ...]
    grade: str
    reversibility: Words
    touches: tuple[str, ...]
    minutes: tuple[int, int]
    source: str | Words

    def __str__(self) -> str:
        return in_language(self.label)

    @property
    def source_words(self) -> str:
        """Where the way of working comes from, in words."""
        return worded_source(self.source)

    @property
    def is_irreversible(self) -> bool:
        """Whether wood, varnish or metal is gone for good: that wants a consent of its own."""
        return self.grade == IRREVERSIBLE

    def fits(self, kind: Kind) -> bool:
        """Whether it is meant for a family of that kind of instrument; for none means for all."""
        return kind.fits(self.families)

    def materials_for(self, kind: Kind) -> tuple[Words, ...]:
        """The materials that it usually takes, without what wears out on other kinds only."""
        named = zip(self.material_keys, self.materials, strict=True)
        here = consumables_of(kind)
        return tuple(words for key, words in named if key in here or key not in consumables())

    def wanted(self, phase: str) -> tuple[WantedReading, ...]:
        """The readings that it asks for before or after the work."""
        return tuple(one for one in self.readings if one.phase == phase)


def worded_source(source: str | Words) -> str:
    """As delivered in the reader's language; what the house typed stays as it is."""
    return source if isinstance(source, str) else in_language(source)


def procedure_of(content: Mapping[str, Any]) -> Procedure:
    """Read the data of one procedure. Raises KeyError when a field is missing."""
    low, high = content["minutes"]
    return Procedure(
        key=content["key"],
        label=content["label"],
        group=content["group"],
        families=tuple(content["families"]),
        purpose=content["purpose"],
        cautions=tuple(content["cautions"]),
        steps=tuple(Step(row["key"], row["label"]) for row in content["steps"]),
        materials=tuple(row["label"] for row in content["materials"]),
        material_keys=tuple(row["key"] for row in content["materials"]),
        readings=tuple(_wanted(row) for row in content["readings"]),
        asks=tuple(content["asks"]),
        photos=tuple(content["photos"]),
        grade=content["reversibility"]["grade"],
        reversibility=content["reversibility"]["words"],
        touches=tuple(content["touches"]),
        minutes=(int(low), int(high)),
        source=content["source"],
    )


def _wanted(row: Mapping[str, Any]) -> WantedReading:
    limits = tuple(
        WantedLimit(one["figure"], one["lower"], one["upper"], one["unit"], one["source"])
        for one in row["limits"]
    )
    return WantedReading(row["gauge"], row["phase"], tuple(row["figures"]), limits)


@cache
def shipped() -> Mapping[str, Mapping[str, Any]]:
    """The procedures as they come with the casebook, by key."""
    return {row["key"]: row for row in read_fixture("procedures.json")}


@cache
def cautions() -> Mapping[str, Mapping[str, Words]]:
    """What work may do to hands, lungs and instrument, by key: name and one sentence each."""
    return {row["key"]: row for row in read_fixture("vocabulary/cautions.json")}


def caution_words(keys: tuple[str, ...]) -> list[tuple[str, str]]:
    """Name and sentence of each caution, in the language in force."""
    known = cautions()
    return [
        (in_language(known[key]["label"]), in_language(known[key]["caution"]))
        for key in keys
        if key in known
    ]


@cache
def as_found() -> Mapping[str, Mapping[str, Any]]:
    """What must be on record before the first change to an original tangent, rim, dog, …

    The whole set and not the one part: turning one tangent destroys an old temperament, which can
    be read only as long as all of them stand as they were found.
    """
    found: Mapping[str, Mapping[str, Any]] = read_fixture("vocabulary/as_found.json")
    return found


def content_hash(content: Mapping[str, Any]) -> str:
    """SHA-256 over the canonical JSON of a procedure: the same words give the same hash."""
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()
