"""The points that the record of a treatment must hold, one row each, named by a fixture.

Source: the European conservators' code (ECCO Code 2003, art. 8 to 10), the steps of EN 16853:2017,
CIMCIM 1993 and the checklist, as digested in the fixture. Every point has a row, even when nothing
is recorded.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.findings.look_models import Examination
from repairs.findings.models import Finding
from repairs.instruments.part_models import Part
from repairs.language.text import semicolons
from repairs.papers.blocks.document import FindingBlock, Row
from repairs.papers.blocks.treatment_document import BagLine, PairBlock, ReadingPair, WorkBlock
from repairs.papers.condition.units import row_of
from repairs.papers.treatment.weighed import Weighed
from repairs.photos.models import Photo
from repairs.readings.models import Reading, Verdict
from repairs.storage.fixtures import read_fixture
from repairs.treatment.models import Intervention
from repairs.treatment.part_models import RemovedPart


@dataclass(frozen=True, kw_only=True)
class Material:
    """Everything that the treatment report draws on."""

    case: Case
    examination: Examination | None
    weighed: Weighed
    hand_back: HandBack | None
    works: tuple[Intervention, ...]
    blocks: tuple[WorkBlock, ...]
    findings: Mapping[int, FindingBlock]
    left: tuple[FindingBlock, ...]
    not_done: tuple[str, ...]
    parts: tuple[Part, ...]
    removed: tuple[RemovedPart, ...]
    bags: tuple[BagLine, ...]
    photos: tuple[Photo, ...]
    pairs: tuple[PairBlock, ...]
    readings: tuple[Reading, ...]
    standing: tuple[Finding, ...]


@cache
def points() -> Mapping[str, Mapping[str, Any]]:
    """The points of the code by their keys, read once."""
    return {row["key"]: row for row in read_fixture("vocabulary/treatment_points.json")}


def point(key: str, value: object, *, empty: str = "") -> Row:
    """One point with its value, or with a word that says that nothing is recorded."""
    return row_of(points()[key], value, empty=empty)


def pairs_after(blocks: Iterable[WorkBlock]) -> list[ReadingPair]:
    """The readings that were taken after the work, with those before it."""
    return [pair for block in blocks for pair in block.readings if pair.after]


def count_words(pairs: Iterable[ReadingPair]) -> str:
    """How many figures lie inside, are doubtful, lie outside, and what was not permitted."""
    counts = Counter(figure.word for pair in pairs for figure in pair.figures)
    counts[Verdict.Word.INSIDE] += sum(pair.inside_unsaid for pair in pairs)
    refused = sum(1 for pair in pairs if pair.not_permitted)
    said = [
        _("%(count)s inside their limits") % {"count": counts[Verdict.Word.INSIDE]},
        _("%(count)s doubtful") % {"count": counts[Verdict.Word.DOUBTFUL]},
        _("%(count)s outside") % {"count": counts[Verdict.Word.OUTSIDE]},
    ]
    said = said if any(counts.values()) else []
    if unjudged := counts[Verdict.Word.NOT_JUDGED]:
        said.append(_("%(count)s not judged") % {"count": unjudged})
    if refused:
        said.append(refused_words(refused))
    return ", ".join(said) or _("no reading after the work was asked for")


def refused_words(count: int) -> str:
    """How many readings were not made because the owner did not permit them."""
    words = ngettext(
        "%(count)s reading not made because not permitted",
        "%(count)s readings not made because not permitted",
        count,
    )
    return words % {"count": count}


def bag_words(removed: Iterable[RemovedPart]) -> str:
    """What became of the removed parts, counted by fate."""
    counts = Counter(str(piece.get_fate_display()) for piece in removed)
    return semicolons(f"{count} × {fate}" for fate, count in counts.items())
