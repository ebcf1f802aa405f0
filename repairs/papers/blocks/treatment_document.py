"""The treatment report as frozen data: everything that it says, in its language."""

from __future__ import annotations

from dataclasses import dataclass

from repairs.papers.blocks.document import FindingBlock, PhotoBlock, Row
from repairs.papers.blocks.typed_document import AnnexBlock
from repairs.press.document import Picture


@dataclass(frozen=True, kw_only=True)
class PairBlock:
    """Two photos of the same thing, before and after; ``of`` says what both show."""

    of: str
    before: PhotoBlock
    after: PhotoBlock

    @property
    def both(self) -> tuple[PhotoBlock, PhotoBlock]:
        """The two photos in the order of time."""
        return self.before, self.after


@dataclass(frozen=True, kw_only=True)
class StepLine:
    """One step of the procedure and whether it was done."""

    label: str
    sign: str
    state: str
    words: str


@dataclass(frozen=True, kw_only=True)
class MinutesLine:
    """What one person worked; ``typed`` are the minutes for which no clock ran."""

    person: str
    minutes: int
    typed: int


@dataclass(frozen=True, kw_only=True)
class MaterialLine:
    """One material that was used, with its lot and the heat of the glue."""

    name: str
    amount: str
    lot: str
    glue: str


@dataclass(frozen=True, kw_only=True)
class NewPartLine:
    """One part that was put in, from where, and how it is marked."""

    description: str
    part: str
    material: str
    origin: str
    marking: str


@dataclass(frozen=True, kw_only=True)
class BagLine:
    """A removed piece: its bag, where it sat, what became of it and who agreed."""

    bag: str
    description: str
    part: str
    originality: str
    position: str
    removed: str
    fate: str
    fate_words: str
    photo: int
    is_consumable: bool
    picture: Picture | None = None


@dataclass(frozen=True, kw_only=True)
class FigureChange:
    """One figure before and after the work."""

    label: str
    before: str
    after: str
    change: str
    sure: str
    limit: str
    source: str
    word: str
    word_label: str
    sign: str


@dataclass(frozen=True, kw_only=True)
class ReadingPair:
    """A reading before the work beside the one after it, of one thing by one gauge.

    ``not_permitted`` says why the later one was not made, ``before_not_permitted`` why the
    earlier was not: an entry without a reading counts as none. ``before_typed`` and ``after_typed``
    are the numbers under which the annex has what was typed for them, 0 where it has nothing.
    """

    title: str
    subject: str
    gauge: str
    before: str
    after: str
    chart: str
    alt: str
    figures: tuple[FigureChange, ...]
    inside_unsaid: int
    not_permitted: str
    before_not_permitted: str
    before_typed: int = 0
    after_typed: int = 0

    @property
    def is_both(self) -> bool:
        """Whether there is a reading before the work and one after it."""
        return bool(self.before and self.after) and not self.is_refused

    @property
    def is_refused(self) -> bool:
        """Whether the owner did not permit one of the two readings."""
        return bool(self.not_permitted or self.before_not_permitted)


@dataclass(frozen=True, kw_only=True)
class PromiseLine:
    """What a prescription promised, by how much it was followed, and what came of it."""

    label: str
    prescription: str
    done: str
    expected: str
    got: str
    word: str
    word_label: str
    sign: str


@dataclass(frozen=True, kw_only=True)
class ProofLine:
    """One line of the proof of a piece of work, with the reason where it was not met."""

    label: str
    sign: str
    words: str
    readings: tuple[int, ...]
    reason: str


@dataclass(frozen=True, kw_only=True)
class WorkBlock:
    """One signed-off piece of work, from what it answers to its proof."""

    number: int
    title: str
    procedure: str
    version: str
    purpose: str
    agreement: str
    is_emergency: bool
    grade: str
    reversibility: str
    undoing: str
    findings: tuple[FindingBlock, ...]
    parts: tuple[str, ...]
    days: str
    people: tuple[MinutesLine, ...]
    climate: str
    words: str
    steps: tuple[StepLine, ...]
    materials: tuple[MaterialLine, ...]
    new_parts: tuple[NewPartLine, ...]
    removed: tuple[str, ...]
    readings: tuple[ReadingPair, ...]
    promises: tuple[PromiseLine, ...]
    proof: tuple[ProofLine, ...]
    signed: str
    signed_words: str


@dataclass(frozen=True, kw_only=True)
class TreatmentReport:
    """The whole report, in the order in which it is read."""

    case_number: str
    instrument_number: str
    instrument: str
    owner: str
    cover: PhotoBlock | None
    answer: tuple[Row, ...]
    before: tuple[Row, ...]
    works: tuple[WorkBlock, ...]
    pairs: tuple[PairBlock, ...]
    during: tuple[PhotoBlock, ...]
    not_treated: tuple[FindingBlock, ...]
    not_done: tuple[str, ...]
    bags: tuple[BagLine, ...]
    record: tuple[Row, ...]
    after: tuple[Row, ...]
    signers: tuple[str, ...]
    annex: tuple[AnnexBlock, ...]
