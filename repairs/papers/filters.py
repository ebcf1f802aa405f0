"""What the templates of reports ask of frozen data: how photos lie, which rows say something."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from repairs.language.text import lines_of
from repairs.papers.blocks import plates
from repairs.papers.blocks.document import (
    ConditionReport,
    FigureLine,
    FindingBlock,
    PartRow,
    PhotoBlock,
    ReadingBlock,
    Row,
)
from repairs.papers.blocks.treatment_document import (
    FigureChange,
    PairBlock,
    ProofLine,
    ReadingPair,
    StepLine,
    TreatmentReport,
    WorkBlock,
)
from repairs.papers.condition import first_page as first
from repairs.photos.overlay import marks_svg
from repairs.readings.models import Verdict
from repairs.screens.filters import register

SHORT_LETTERS = 38  # of a value that stands in half the width of a page
MOST_FIGURES = 8  # on page one of a treatment report
INDEX_ROWS = 60  # of two columns that fit one page


@register.simple_tag
def plate_picture(plate: plates.Plate) -> SafeString:
    """The picture of a plate at its printed size, with its marks; nothing where there is none."""
    photo = plate.photo
    if photo is None:
        return mark_safe("")
    img = format_html('src="store:{}" alt="{}"', photo.picture, photo.alt)
    if not plate.is_piece and not photo.marks:
        return format_html('<img class="print" {} style="width:{}mm">', img, plate.width_mm)
    window, high_mm = plate.window, plate.height_mm
    wide_mm = plate.width_mm / window.width
    moved = (
        f"width:{wide_mm:.2f}mm;left:{-window.left * wide_mm:.2f}mm;"
        f"top:{-window.top * high_mm / window.height:.2f}mm"
    )
    label = _("Numbered marks on photo %(number)s") % {"number": photo.number}
    svg = marks_svg(
        photo.marks, photo.width, photo.height, label=label, window=window, scale=plate.scale
    )
    return format_html(
        '<div class="shot" style="width:{}mm;height:{}mm"><img {} style="{}">{}</div>',
        plate.width_mm,
        f"{high_mm:.2f}",
        img,
        moved,
        mark_safe(svg),  # noqa: S308 - drawn from numbers and an escaped label
    )


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
def side_by_side(found: Iterable[plates.Plate]) -> list[list[plates.Plate]]:
    """Plates two by two, in their order."""
    return in_rows_of(found, 2)


@register.filter
def in_columns(found: Iterable[plates.Plate]) -> tuple[tuple[tuple[plates.Plate, ...], ...], ...]:
    """Plates in blocks of two columns that are filled one after the other."""
    return plates.in_columns(found)


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
def but(items: Iterable[Any], one: object) -> list[Any]:
    """The items without that one."""
    return [item for item in items if item is not one]


@register.filter
def speaking(report: TreatmentReport) -> list[tuple[str, FigureChange]]:
    """The judged figures that were read before and after, with what was read; the last reading of
    each thing counts, what lies outside comes first."""
    last = {(pair.gauge, pair.subject): pair for work in report.works for pair in work.readings}
    told = [
        (pair.title, figure)
        for pair in last.values()
        for figure in pair.figures
        if figure.before and figure.after and figure.word != Verdict.Word.NOT_JUDGED
    ]
    told.sort(key=lambda one: one[1].word == Verdict.Word.INSIDE)
    return told[:MOST_FIGURES]


@register.filter
def is_agreed_once(report: TreatmentReport) -> bool:
    """Whether all work rests on one agreement, which page one tells."""
    return len({work.agreement for work in report.works}) <= 1


@register.filter
def proof_by_state(work: WorkBlock) -> list[list[ProofLine]]:
    """The lines of the proof, those that stand alike together."""
    found: dict[str, list[ProofLine]] = {}
    for line in work.proof:
        found.setdefault(line.words, []).append(line)
    return list(found.values())


@register.filter
def steps_by_state(work: WorkBlock) -> list[tuple[StepLine, list[str]]]:
    """The steps to which nothing was noted, together by what happened, in the order of the first."""
    found: dict[str, tuple[StepLine, list[str]]] = {}
    for step in work.steps:
        if not step.words:
            found.setdefault(step.state, (step, []))[1].append(step.label)
    return list(found.values())


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
def first_page(report: ConditionReport) -> first.FirstPage:
    """What page one says."""
    return first.first_page(report)


@register.filter
def not_yet_said(rows: Iterable[Row], page: first.FirstPage) -> tuple[Row, ...]:
    """The rows but those that stand whole on page one."""
    return first.not_yet_said(rows, page)


@register.filter
def said(rows: Iterable[Row]) -> list[list[Row]]:
    """The rows that say something in their order; beside a short one the next short one."""
    lines: list[list[Row]] = []
    open_line: list[Row] = []
    for row in rows:
        if not row.is_said:
            continue
        if _is_short(row) and open_line:
            open_line.append(row)
            open_line = []
        else:
            lines.append([row])
            open_line = lines[-1] if _is_short(row) else open_line
    return lines


def _is_short(row: Row) -> bool:
    return len(row.value) <= SHORT_LETTERS and "\n" not in row.value


@register.filter
def unsaid(rows: Iterable[Row]) -> list[tuple[str, list[str]]]:
    """What is left open, and for each such word the names of the rows: “not recorded”, …"""
    found: dict[str, list[str]] = {}
    for row in rows:
        if not row.is_said:
            found.setdefault(row.value, []).append(row.label)
    return list(found.items())


@register.filter
def judged(reading: ReadingBlock | ReadingPair) -> list[FigureLine | FigureChange]:
    """The figures that were held against a limit."""
    return [one for one in reading.figures if one.word != Verdict.Word.NOT_JUDGED]


@register.filter
def unjudged(reading: ReadingBlock | ReadingPair) -> list[FigureLine | FigureChange]:
    """The figures without a limit: they stand apart."""
    return [one for one in reading.figures if one.word == Verdict.Word.NOT_JUDGED]


@register.filter
def sources(figures: Iterable[FigureLine | FigureChange]) -> list[tuple[str, str]]:
    """Where the limits are from, and of which figures; of which is empty when it is of all."""
    found: dict[str, list[str]] = {}
    for one in figures:
        if one.source:
            found.setdefault(one.source, []).append(one.label)
    if len(found) == 1:
        return [(source, "") for source in found]
    return [(source, ", ".join(labels)) for source, labels in found.items()]


@register.filter
def alike(parts: Iterable[PartRow]) -> list[tuple[str, PartRow]]:
    """The parts of which the same is said together, each with the numbers of its findings; those
    of which something is to be said first."""
    found: dict[tuple[str, ...], list[PartRow]] = {}
    for part in sorted(parts, key=lambda part: part.is_plain):
        if part.is_plain and not part.material:
            continue
        key = part.material, part.material_note, part.protection, part.originality
        found.setdefault(key, []).append(part)
    return [(", ".join(map(_numbered, group)), group[0]) for group in found.values()]


@register.filter
def unknown_parts(report: ConditionReport) -> list[str]:
    """The parts of whose material nothing is recorded and that were not looked at either."""
    return [
        part.label
        for part in report.parts
        if part.is_plain and not part.material and part.label not in report.parts_looked_at
    ]


def _numbered(part: PartRow) -> str:
    numbers = ", ".join(str(number) for number in part.findings)
    return f"{part.label} ({numbers})" if numbers else part.label


@register.filter
def by_material(protected: Iterable[tuple[str, str, str]]) -> list[tuple[str, str, str]]:
    """The parts of each protected material together: its rules are said once."""
    found: dict[tuple[str, str], list[str]] = {}
    for part, material, note in protected:
        found.setdefault((material, note), []).append(part)
    return [(", ".join(parts), *key) for key, parts in found.items()]


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


@register.filter
def in_one_line(words: str) -> str:
    """What stands on several lines, parted as one parts the lines of an inscription."""
    return " / ".join(lines_of(words))


@register.filter
def definitions(findings: Iterable[FindingBlock]) -> list[tuple[str, str]]:
    """Each term that the report uses with what it means, once."""
    return list({one.term: one.definition for one in findings if one.definition}.items())
