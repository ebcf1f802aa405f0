"""How photos lie in reports: what the templates ask of plates, columns and rows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from repairs.language.text import number_runs
from repairs.papers.blocks import columns, plates
from repairs.papers.blocks.document import ConditionReport, FindingBlock, PhotoBlock
from repairs.papers.blocks.plate import Plate
from repairs.papers.blocks.treatment_document import PairBlock, TreatmentReport
from repairs.photos.overlay import marks_svg, seen_through
from repairs.photos.where import marks_words
from repairs.screens.filters import register

INDEX_ROWS = 60  # of two columns that fit one page


@register.simple_tag
def plate_picture(plate: Plate) -> SafeString:
    """The picture of a plate at its printed size, with its marks; nothing where there is none."""
    photo = plate.photo
    if photo is None:
        return mark_safe("")
    img = format_html('src="store:{}" alt="{}"', photo.picture, photo.alt)
    if not plate.is_piece and not photo.marks:
        return format_html('<img class="print" {} style="width:{}mm">', img, plate.width_mm)
    return _marked(plate, photo, img)


def _marked(plate: Plate, photo: PhotoBlock, img: str) -> SafeString:
    """A piece of the picture, or all of it, with its marks drawn over it."""
    window, high_mm = plate.window, plate.height_mm
    wide_mm = plate.width_mm / window.width
    whole_mm = high_mm / window.height
    above_mm = window.top * whole_mm
    # Moved by margins: a picture that is placed absolutely in a float is lost by the page maker
    # where the block is pushed to the next page.
    moved = (
        f"width:{wide_mm:.2f}mm;height:{whole_mm:.2f}mm;"
        f"margin:{-above_mm:.2f}mm 0 0 {-window.left * wide_mm:.2f}mm"
    )
    label = marks_words(seen_through(window, photo.marks))
    svg = marks_svg(
        photo.marks, photo.width, photo.height, label=label, window=window, scale=plate.scale
    )
    return format_html(
        '<div class="shot" style="width:{}mm;height:{}mm"><img {} style="{}">'
        '<div style="height:{}mm;margin-top:{}mm">{}</div></div>',
        plate.width_mm,
        f"{high_mm:.2f}",
        img,
        moved,
        f"{high_mm:.2f}",
        f"{above_mm - whole_mm:.2f}",
        mark_safe(svg),  # noqa: S308 - drawn from numbers and an escaped label
    )


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
