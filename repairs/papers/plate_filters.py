"""How photos lie in reports: what the templates ask of plates, columns and rows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from django.utils.safestring import SafeString, mark_safe

from repairs.language.text import number_runs
from repairs.papers.blocks import columns, plates
from repairs.papers.blocks.document import ConditionReport, FindingBlock, PhotoBlock
from repairs.papers.blocks.plate import Plate
from repairs.photos.printed import printed
from repairs.screens.filters import register

if TYPE_CHECKING:  # a paper of another kind needs none of them
    from repairs.papers.blocks.treatment_document import PairBlock, TreatmentReport

INDEX_ROWS = 60  # of two columns that fit one page


@register.simple_tag
def plate_picture(plate: Plate) -> SafeString:
    """The picture of a plate at its printed size, with its marks; nothing where there is none."""
    if plate.photo is None:
        return mark_safe("")
    return printed(plate.photo, plate.window, plate.width_mm)


@register.filter
def map_plates(report: ConditionReport) -> tuple[Plate, ...]:
    """The views of the whole with the numbers of all that is marked on them."""
    return plates.maps(report.photos)


@register.filter
def are_alike(found: Sequence[Plate]) -> bool:
    """Whether the maps are too many for a large one with the others beside it."""
    return len(found) > plates.BESIDE_THE_LARGE + 1


@register.filter
def finding_plates(report: ConditionReport) -> tuple[Plate, ...]:
    """Every finding once, beside the photo that shows it nearest."""
    return plates.finding_plates(report.findings, report.photos)


@register.filter
def worst_plates(report: ConditionReport) -> tuple[Plate, ...]:
    """The gravest findings, each with its piece of a photo."""
    return plates.worst_plates(report.worst, report.photos)


@register.filter
def other_views(report: ConditionReport) -> tuple[Plate, ...]:
    """The photos that stand whole nowhere else."""
    return plates.other_views(report.findings, report.photos, report.cover)


@register.filter
def cover_plate(photo: PhotoBlock | None) -> Plate | None:
    """The face of the instrument, as large as page one allows."""
    return plates.cover_plate(photo)


@register.filter
def face_plate(report: ConditionReport) -> Plate | None:
    """The face of the instrument on page one of a condition report."""
    return plates.face_plate(report.findings, report.photos, report.cover)


@register.filter
def side_by_side(found: Iterable[Plate]) -> list[list[Plate]]:
    """Plates two by two, in their order."""
    return in_rows_of(found, 2)


@register.filter
def in_columns(found: Iterable[Plate]) -> tuple[tuple[tuple[Plate, ...], ...], ...]:
    """Plates in blocks of two columns that are filled one after the other."""
    return columns.in_columns(found)


@register.filter
def telling_pair(report: TreatmentReport) -> PairBlock | None:
    """The pair of photos with which a treatment report begins."""
    return plates.telling_pair(report.pairs)


@register.filter
def large_pair(pair: PairBlock) -> tuple[Plate, Plate]:
    """Before and after, half a page wide each."""
    return plates.pair_plates(pair, is_large=True)


@register.filter
def photo_cells(
    pairs: Iterable[PairBlock], during: Iterable[PhotoBlock]
) -> tuple[plates.PhotoCell, ...]:
    """Cells of half a page: a pair in each, then what was taken during the work."""
    return plates.photo_cells(pairs, during)


@register.filter
def in_rows_of(items: Iterable[Any], count: int) -> list[list[Any]]:
    """The items, so many a row; the last row may be shorter."""
    every = list(items)
    return [every[start : start + count] for start in range(0, len(every), count)]


@register.filter
def index_columns(findings: Iterable[FindingBlock]) -> list[list[list[FindingBlock]]]:
    """The findings in blocks of two columns, none taller than a page."""
    blocks = in_rows_of(findings, INDEX_ROWS)
    return [in_rows_of(block, (len(block) + 1) // 2) for block in blocks]


@register.filter
def days_of(photos: Iterable[PhotoBlock]) -> list[tuple[str, str]]:
    """On which day which photos were taken: “9 March 2026” and “1–14”."""
    found: dict[str, list[int]] = {}
    for photo in photos:
        if photo.taken_at:
            found.setdefault(photo.taken_at, []).append(photo.number)
    return [(day, number_runs(numbers)) for day, numbers in found.items()]
