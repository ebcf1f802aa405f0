"""The list of removed parts: every bag, what is in it, and what became of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repairs.cases.models import Case
from repairs.instruments.consumables import consumables_words, is_cottoned
from repairs.language.refusal import WorkshopError
from repairs.language.text import labelled, semicolons
from repairs.papers import paper_kinds
from repairs.papers.blocks.treatment_document import BagLine
from repairs.papers.needs.kind import PaperKind
from repairs.papers.needs.lacks import Facts, empty
from repairs.papers.treatment.supplies import bag_line
from repairs.press.document import Picture
from repairs.treatment.part_models import RemovedPart


@dataclass(frozen=True, kw_only=True)
class RemovedParts:
    """Every piece that was taken off, and where it is now."""

    case_number: str
    instrument_number: str
    instrument: str
    owner: str
    bags: tuple[BagLine, ...]
    consumables: tuple[BagLine, ...]
    consumables_kept: bool
    sorts: str
    is_cottoned: bool
    totals: str
    face: Picture | None = None


def body(case: Case) -> RemovedParts:
    """Gather the bags of the case, strings and cotton apart from evidence."""
    parts = {part.pk: part for part in case.instrument.parts.all()}
    for part in parts.values():
        part.instrument = case.instrument
    pieces = list(case.removed_parts.select_related("photo__original", "removed_by"))
    for piece in pieces:
        piece.case = case
        if piece.photo is not None:
            piece.photo.case = case
    lines = [bag_line(piece, parts, is_shown=True) for piece in pieces]
    face = case.photos.face()
    return RemovedParts(
        case_number=case.number,
        instrument_number=case.instrument.number,
        instrument=str(case.instrument),
        owner=case.owner.name,
        bags=tuple(line for line in lines if not line.is_consumable),
        consumables=tuple(line for line in lines if line.is_consumable),
        consumables_kept=case.consumables_kept,
        sorts=consumables_words(case.instrument.pattern),
        is_cottoned=is_cottoned(case.instrument.pattern),
        totals=_totals(piece.fate for piece in pieces),
        face=face.on_paper if face else None,
    )


def _totals(fates: Iterable[str]) -> str:
    """How many there are, and how many of them had each fate: the parts of the sum."""
    counts = Counter(fates)
    every = sum(counts.values())
    told = semicolons(f"{counts[fate]} × {fate.label}" for fate in RemovedPart.Fate if counts[fate])
    words = ngettext("%(count)s removed part", "%(count)s removed parts", every)
    return labelled(words % {"count": every}, told)


def contents(paper: RemovedParts) -> list[str]:
    """What will be printed, in a few lines for the screen."""
    return [paper.totals]


def gaps(paper: RemovedParts) -> list[str]:
    """The bags of which nobody noted where the piece sat."""
    unplaced = [line.bag for line in paper.bags if not line.position]
    if not unplaced:
        return []
    return [_("Where it sat is not noted: %(bags)s.") % {"bags": ", ".join(unplaced)}]


def lack(facts: Facts) -> WorkshopError | None:
    """The refusal while nothing was taken off."""
    if facts.has_bags:
        return None
    return empty(facts, REMOVED_PARTS.name, _("nothing was taken off the instrument."))


REMOVED_PARTS = PaperKind(
    key=paper_kinds.REMOVED_PARTS,
    purpose=gettext_lazy("Every piece that was taken off, its bag, and what became of it."),
    template="papers/treatment/removed_parts.html",
    body=body,
    contents=contents,
    gaps=gaps,
    lack=lack,
    deed="receipt",
)
