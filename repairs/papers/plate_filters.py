"""How photos lie in reports: what the templates ask of plates, columns and rows."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from repairs.papers.blocks import columns, plates
from repairs.papers.blocks.document import ConditionReport, FindingBlock, PhotoBlock
from repairs.papers.blocks.treatment_document import PairBlock, TreatmentReport
from repairs.photos.pieces import printed
from repairs.screens.filters import register

INDEX_ROWS = 60  # of two columns that fit one page


@register.simple_tag
def plate_picture(plate: plates.Plate) -> SafeString:
    """The picture of a plate at its printed size, with its marks; nothing where there is none."""
    if plate.photo is None:
        return mark_safe("")
    return printed(plate.photo, plate.window, plate.width_mm)


@register.filter
def map_plates(report: ConditionReport) -> tuple[plates.Plate, ...]:
    """The views of the whole with the numbers of all that is marked on them."""
    return plates.maps(report.photos)


@register.filter
def finding_plates(report: ConditionReport) -> tuple[plates.Plate, ...]:
    """Every finding once, beside the photo that shows it nearest."""
    return plates.finding_plates(report.findings, report.photos)


@register.filter
def worst_plates(report: ConditionReport) -> tuple[plates.Plate, ...]:
    """The gravest findings, each with its piece of a photo."""
    return plates.worst_plates(report.worst, report.photos)


@register.filter
def other_views(report: ConditionReport) -> tuple[plates.Plate, ...]:
    """The photos that stand whole nowhere else."""
    return plates.other_views(report.findings, report.photos, report.cover)


@register.filter
def cover_plate(photo: PhotoBlock | None) -> plates.Plate | None:
    """The face of the instrument, as large as page one allows."""
    return plates.cover_plate(photo)


@register.filter
def face_plate(report: ConditionReport) -> plates.Plate | None:
    """The face of the instrument on page one of a condition report."""
    return plates.face_plate(report.findings, report.photos, report.cover)


@register.filter
def side_by_side(found: Iterable[plates.Plate]) -> list[list[plates.Plate]]:
    """Plates two by two, in their order."""
    return in_rows_of(found, 2)


@register.filter
def in_columns(found: Iterable[plates.Plate]) -> tuple[tuple[tuple[plates.Plate, ...], ...], ...]:
    """Plates in blocks of two columns that are filled one after the other."""
    return columns.in_columns(found)


@register.filter
def telling_pair(report: TreatmentReport) -> PairBlock | None:
    """The pair of photos with which a treatment report begins."""
    return plates.telling_pair(report.pairs)


@register.filter
def large_pair(pair: PairBlock) -> tuple[plates.Plate, plates.Plate]:
    """Before and after, half a page wide each."""
    return plates.pair_plates(pair, is_large=True)


@register.filter
def small_pair(pair: PairBlock) -> tuple[plates.Plate, plates.Plate]:
    """Before and after, two pairs a row."""
    return plates.pair_plates(pair, is_large=False)


@register.filter
def third_plates(photos: Iterable[PhotoBlock]) -> tuple[plates.Plate, ...]:
    """Photos of which three stand in a row."""
    return plates.third_plates(photos)


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
    return [(day, ", ".join(runs(numbers))) for day, numbers in found.items()]


def runs(numbers: list[int]) -> list[str]:
    """Numbers that follow on each other as one: “1–3”, “7”."""
    found: list[list[int]] = []
    for number in sorted(numbers):
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    return [f"{run[0]}–{run[-1]}" if len(run) > 1 else str(run[0]) for run in found]
