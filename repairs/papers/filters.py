"""What the templates of reports ask of frozen data: what is said, and what lies together."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from repairs.language.text import lines_of
from repairs.papers import phrases, plate_filters  # noqa: F401 - they fill the same register
from repairs.papers.blocks.document import (
    ConditionReport,
    FigureLine,
    FindingBlock,
    PartRow,
    ReadingBlock,
    Row,
)
from repairs.papers.blocks.typed_document import AnnexBlock
from repairs.papers.condition import first_page as first
from repairs.readings.models import Verdict
from repairs.screens.filters import register

if TYPE_CHECKING:  # a paper of another kind needs none of them
    from repairs.papers.blocks.treatment_document import (
        FigureChange,
        ProofLine,
        ReadingPair,
        StepLine,
        TreatmentReport,
        WorkBlock,
    )

SHORT_LETTERS = 38  # of a value that stands in half the width of a page
MEASURES = frozenset(
    ("length", "width", "depth", "speaking_length", "wheel_diameter", "mass", "key_count")
)
NARROW_CHARTS = ("wheel", "string_set")
MOST_FIGURES = 8  # on page one of a treatment report


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
    """The steps to which nothing was noted, together by what happened."""
    found: dict[str, tuple[StepLine, list[str]]] = {}
    for step in work.steps:
        if not step.words:
            found.setdefault(step.state, (step, []))[1].append(step.label)
    return list(found.values())


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


def _is_measure(row: Row) -> bool:
    return row.key in MEASURES and row.is_said


@register.filter
def but_measures(rows: Iterable[Row]) -> list[Row]:
    """The rows but the measures that were taken: those stand together in one line."""
    return [row for row in rows if not _is_measure(row)]


@register.filter
def measures(report: ConditionReport) -> list[tuple[str, str]]:
    """Every measure of the instrument: those that a report must hold, then the others."""
    asked = [(row.label, row.value) for row in report.identity if _is_measure(row)]
    return [*asked, *report.sizes]


def _is_short(row: Row) -> bool:
    return len(row.value) <= SHORT_LETTERS and "\n" not in row.value


@register.filter
def unsaid(rows: Iterable[Row]) -> list[tuple[str, list[str]]]:
    """What is left open, and for each such word the names of the rows: “not recorded”, …"""
    return by_value(row for row in rows if not row.is_said)


@register.filter
def by_value(rows: Iterable[Row]) -> list[tuple[str, list[str]]]:
    """What is said of the rows, each with the names of those of which it is said."""
    found: dict[str, list[str]] = {}
    for row in rows:
        found.setdefault(row.value, []).append(row.label)
    return list(found.items())


@register.filter
def stands_beside(reading: ReadingBlock | ReadingPair) -> bool:
    """Whether the chart is narrow enough for the table of its figures to stand beside it."""
    return bool(reading.chart) and reading.gauge in NARROW_CHARTS


@register.filter
def judged(reading: ReadingBlock | ReadingPair) -> list[FigureLine | FigureChange]:
    """The figures that were held against a limit."""
    return [one for one in reading.figures if one.word != Verdict.Word.NOT_JUDGED]


@register.filter
def unjudged(reading: ReadingBlock | ReadingPair) -> list[FigureLine | FigureChange]:
    """The figures without a limit: they stand apart."""
    return [one for one in reading.figures if one.word == Verdict.Word.NOT_JUDGED]


@register.filter
def with_typed(report: ConditionReport) -> list[tuple[ReadingBlock, AnnexBlock]]:
    """The readings of the annex, each with what was typed for it."""
    taken = {reading.number: reading for reading in report.readings}
    return [(taken[one.number], one) for one in report.annex]


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
def lack_material(parts: Iterable[PartRow]) -> bool:
    """Whether of some part nothing is recorded that the table would show."""
    return any(part.is_plain and not part.material for part in parts)


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
def in_lines(words: Iterable[str]) -> str:
    """The items, each on a line of its own."""
    return "\n".join(words)


@register.filter
def in_one_line(words: str) -> str:
    """What stands on several lines, parted as one parts the lines of an inscription."""
    return " / ".join(lines_of(words))


@register.filter
def definitions(findings: Iterable[FindingBlock]) -> list[tuple[str, str]]:
    """Each term that the report uses with what it means, once."""
    return list({one.term: one.definition for one in findings if one.definition}.items())
