"""The data that a report carries: what its pages say in words, as numbers, keys and hashes.

Published as ``paper-2.schema.json`` beside this file. A change of meaning is a new FORMAT of the
press, never a change of this one: papers of thirty years ago are to be read by it. Fields may be
added; whoever reads takes what it knows.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, kw_only=True)
class Quantity:
    """A number with its unit."""

    value: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class ToolData:
    """The measuring tool, how finely it reads, and when it was last checked."""

    name: str
    resolution: Quantity
    checked_on: dt.date | None


@dataclass(frozen=True, kw_only=True)
class CellData:
    """What one cell of an entry sheet is called; ``in_rows`` where it heads a column.

    Without a unit it is a plain word or number, or its unit is named by another cell, as the dial's
    is by ``scale``.
    """

    key: str
    label: str
    unit: str
    kind: str
    in_rows: bool


@dataclass(frozen=True, kw_only=True)
class FileData:
    """A file that was handed in for a cell; it travels beside this data under its ``name``."""

    cell: str
    name: str
    sha256: str
    size_bytes: int


@dataclass(frozen=True, kw_only=True)
class RawData:
    """What was typed, letter by letter: single cells by key, then the rows of the table.

    Empty rows stay, so that each keeps its number; rows count from 1.
    """

    fields: Mapping[str, str]
    rows: tuple[Mapping[str, str], ...]
    cells: tuple[CellData, ...]
    files: tuple[FileData, ...]


@dataclass(frozen=True, kw_only=True)
class FigureData:
    """One figure: value and standard uncertainty in ``unit``, its limit with source, the verdict.

    ``digits`` are the places after the point with which it is printed.
    """

    key: str
    label: str
    value: float
    u: float | None
    unit: str
    digits: int
    lower: float | None
    upper: float | None
    source: str
    verdict: str


@dataclass(frozen=True, kw_only=True)
class AdviceData:
    """One line of what a reading proposes, in words and in figures."""

    code: str
    target: str
    amount: float | None
    u: float | None
    unit: str
    irreversible: bool
    details: Mapping[str, Any]
    words: str


@dataclass(frozen=True, kw_only=True)
class ReadingData:
    """One reading: how it was taken, what was typed, what which version made of it."""

    number: int
    gauge: str
    title: str
    subject: str
    phase: str
    round: int | None
    taken_at: dt.datetime
    taken_by: str
    tool: ToolData | None
    room_temperature: Quantity | None
    room_humidity: Quantity | None
    not_permitted: str
    note: str
    raw: RawData
    version: str
    computed_at: dt.datetime | None
    figures: tuple[FigureData, ...]
    advice: tuple[AdviceData, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class FindingData:
    """One finding by the keys of the vocabularies and in words; severity and urgency from 1 to 4.

    ``photos`` are the numbers of those on which it is tagged.
    """

    number: int
    part: str
    part_label: str
    term: str
    term_label: str
    location: str
    extent: Quantity | None
    severity: int
    stability: str
    age: str
    urgency: int
    cause: str
    note: str
    photos: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class TagData:
    """A place drawn on a photo, in fractions of its width and height from the top left."""

    finding: int
    shape: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, kw_only=True)
class PhotoData:
    """A photo by the SHA-256 of its original, with the places that were tagged on it."""

    number: int
    sha256: str
    size_bytes: int
    width_px: int
    height_px: int
    phase: str
    view: str
    caption: str
    taken_at: dt.datetime | None
    tags: tuple[TagData, ...]


@dataclass(frozen=True, kw_only=True)
class ChangeData:
    """A figure before and after a piece of work; ``limit`` and ``verdict`` are those of the work.

    ``sure`` says whether the change is more than twice its uncertainty; null where that is unknown.
    """

    work: int
    gauge: str
    figure: str
    before: int | None
    after: int | None
    change: float | None
    unit: str
    sure: bool | None
    lower: float | None
    upper: float | None
    source: str
    verdict: str


@dataclass(frozen=True, kw_only=True)
class PromiseData:
    """By how much a figure should change by what was done, and by how much it did.

    ``before`` and ``after`` are numbers of readings, ``advice`` and ``target`` those of the advice.
    """

    work: int
    figure: str
    before: int
    after: int
    advice: str
    target: str
    done: Quantity | None
    expected: float
    expected_u: float | None
    got: float
    got_u: float | None
    unit: str


@dataclass(frozen=True, kw_only=True)
class ReportData:
    """All that a report carries beside its words. ``verdicts`` is the version of the judging."""

    case: str
    instrument: str
    instrument_kind: str
    verdicts: str
    readings: tuple[ReadingData, ...]
    findings: tuple[FindingData, ...]
    photos: tuple[PhotoData, ...]
    changes: tuple[ChangeData, ...] = ()
    promises: tuple[PromiseData, ...] = ()
