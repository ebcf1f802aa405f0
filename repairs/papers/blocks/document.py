"""The condition report as frozen data: everything that it says, in its language."""

from __future__ import annotations

from dataclasses import dataclass

from repairs.papers.blocks.typed_document import AnnexBlock
from repairs.photos.overlay import Mark


@dataclass(frozen=True, kw_only=True)
class Row:
    """One required unit: its key in the checklist, its name, what is recorded, the raw value.

    ``is_said`` is false where ``value`` only says that nothing is recorded.
    """

    key: str
    label: str
    value: str
    raw: str = ""
    is_said: bool = True


@dataclass(frozen=True, kw_only=True)
class FindingBlock:
    """One finding as every paper shows it, under its own number."""

    number: int
    part: str
    term: str
    definition: str
    location: str
    extent: str
    severity: int
    severity_label: str
    stability: str
    age: str
    urgency: str
    cause: str
    note: str
    photos: tuple[int, ...]
    readings: tuple[int, ...] = ()

    @property
    def name(self) -> str:
        """Term and part, as a marker's legend has them."""
        return f"{self.term}, {self.part}"

    @property
    def whole_name(self) -> str:
        """Term, part, place on it and extent, as far as they are known."""
        return ", ".join(filter(None, (self.name, self.location, self.extent)))


@dataclass(frozen=True, kw_only=True)
class PhotoBlock:
    """A photo, its marks, and the findings that face it. ``picture`` is a name in the store."""

    number: int
    picture: str
    width: int
    height: int
    caption: str
    alt: str
    phase: str
    taken_at: str
    sha256: str
    marks: tuple[Mark, ...]
    findings: tuple[FindingBlock, ...]
    view: str = ""


@dataclass(frozen=True, kw_only=True)
class PartRow:
    """One part of the instrument in the table of parts.

    ``is_plain`` is a part of which nothing is to be said beyond what it is made of.
    """

    label: str
    depth: int
    material: str
    material_note: str
    protection: str
    originality: str
    state: str
    findings: tuple[int, ...]
    is_plain: bool = False


@dataclass(frozen=True, kw_only=True)
class Hazard:
    """A danger that was seen, with the act that it asks for."""

    key: str
    label: str
    caution: str


@dataclass(frozen=True, kw_only=True)
class FigureLine:
    """One figure of a reading as it was judged when it was taken."""

    label: str
    value: str
    u: str
    limit: str
    source: str
    word: str
    word_label: str
    sign: str


@dataclass(frozen=True, kw_only=True)
class ReadingBlock:
    """A reading: chart, figures with limits and verdicts, what it proposes; or why not done."""

    number: int
    title: str
    subject: str
    phase: str
    taken: str
    tool: str
    room: str
    gauge: str
    version: str
    chart: str
    alt: str
    figures: tuple[FigureLine, ...]
    warnings: tuple[str, ...]
    advice: tuple[str, ...]
    not_permitted: str
    note: str


@dataclass(frozen=True, kw_only=True)
class ConditionReport:
    """The whole report, in the order in which it is read."""

    case_number: str
    instrument_number: str
    instrument: str
    owner: str
    cover: PhotoBlock | None
    answer: tuple[Row, ...]
    worst: tuple[FindingBlock, ...]
    outside: tuple[str, ...]
    nothing_seen: bool
    no_photo_reason: str
    owner_words: str
    identity: tuple[Row, ...]
    sizes: tuple[tuple[str, str], ...]
    label_text: str
    stay: tuple[Row, ...]
    leaves: tuple[tuple[str, str], ...]
    leave_decided_by: str
    photos: tuple[PhotoBlock, ...]
    findings: tuple[FindingBlock, ...]
    readings: tuple[ReadingBlock, ...]
    parts: tuple[PartRow, ...]
    parts_looked_at: tuple[str, ...]
    parts_not_examined: tuple[tuple[str, str], ...]
    parts_not_said: int
    protected: tuple[tuple[str, str, str], ...]
    examination: tuple[Row, ...]
    judgement: tuple[Row, ...]
    hazards: tuple[Hazard, ...]
    hazard_rows: tuple[Row, ...]
    hazards_note: str
    photo_set: tuple[Row, ...]
    so_far: tuple[Row, ...]
    restrictions: str
    examiner: str
    annex: tuple[AnnexBlock, ...]
