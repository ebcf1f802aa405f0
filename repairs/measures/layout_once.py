"""A second yardstick: the same report laid out by ReportLab, which has no HTML and no CSS.

Same pictures, marks, tables and texts in the same order and at about the same sizes: page one, the
maps with their index, each finding beside its photo, the rest. Untagged, no links, no PDF/A, no
attachment.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from html import escape
from pathlib import Path
from typing import Any

from reportlab import rl_config
from reportlab.lib.colors import HexColor, white
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    KeepTogether,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from repairs.measures.child import tell
from repairs.measures.content import read_pictures, sheet
from repairs.papers.blocks import plates
from repairs.papers.blocks.columns import in_columns
from repairs.papers.blocks.document import ConditionReport, FindingBlock, Row
from repairs.papers.blocks.plate import PAGE_MM, Plate
from repairs.photos.overlay import BADGE, Mark, seen_through
from repairs.photos.pieces import BADGE_MM

WIDTH = PAGE_MM * mm
GAP = 6 * mm
STROKE, BETWEEN = 0.55 * mm, 0.75 * mm  # of a tally
LETTERS = Path(__file__).resolve().parents[1] / "static" / "repairs" / "letters"
FACES = {
    "Serif": "atelier-text-400.ttf",
    "Serif-Bold": "atelier-engraved-600.ttf",
    "Sans": "atelier-text-400.ttf",
    "Sans-Bold": "atelier-text-700.ttf",
}
BRASS, LINE, SOFT = HexColor("#1b4d8f"), HexColor("#b3c2cb"), HexColor("#465056")
TEXT = ParagraphStyle("text", fontName="Serif", fontSize=10, leading=14.2, spaceAfter=2 * mm)
TITLE = ParagraphStyle("title", parent=TEXT, fontName="Serif-Bold", fontSize=21, leading=24)
HEAD = ParagraphStyle("head", parent=TITLE, fontSize=14, leading=17, spaceBefore=9 * mm)
SUB = ParagraphStyle("sub", parent=TITLE, fontSize=11, leading=14, spaceBefore=5 * mm)
SMALL = ParagraphStyle("small", parent=TEXT, fontName="Sans", fontSize=8.5, leading=11.5)
LABEL = ParagraphStyle("label", parent=SMALL, fontName="Sans-Bold", textColor=SOFT)
RULES = TableStyle(
    [
        ("LINEBELOW", (0, 0), (-1, -1), 0.4, LINE),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 1.2 * mm),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.2 * mm),
    ]
)
METHOD = (
    "Findings are what was seen, heard or measured at the time and under the light stated above, "
    "with nothing taken apart unless stated. Severity runs from one to four strokes. A cause is a "
    "judgement and is named as probable. Nothing is said of what is hidden, and no test was made "
    "that is not named."
)
BARE = TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)])


class Shot(Flowable):  # type: ignore[misc] # the library has no types
    """A photo, or the piece of it in the window, with the marks of its tags."""

    def __init__(self, file: Path, plate: Plate) -> None:
        super().__init__()
        self.file, self.plate = file, plate
        self.width, self.height = plate.width_mm * mm, plate.height_mm * mm

    def draw(self) -> None:
        """The picture with its marks, as the layout engine asks for it."""
        canvas, window = self.canv, self.plate.window
        canvas.saveState()
        frame = canvas.beginPath()
        frame.rect(0, 0, self.width, self.height)
        canvas.clipPath(frame, stroke=0)
        wide, high = self.width / window.width, self.height / window.height
        below = (1 - window.top - window.height) * high
        canvas.drawImage(str(self.file), -window.left * wide, -below, wide, high)
        for mark in seen_through(window, self.plate.photo.marks if self.plate.photo else ()):
            self._mark(mark)
        canvas.restoreState()

    def _mark(self, mark: Mark) -> None:
        canvas, unit = self.canv, BADGE_MM * mm / BADGE
        points = [(x * self.width, (1 - y) * self.height) for x, y in mark.points]
        for colour, thickness in ((white, 0.9), (BRASS, 0.45)):
            canvas.setStrokeColor(colour)
            canvas.setLineWidth(thickness * unit)
            if mark.shape == "point":
                canvas.circle(*points[0], 1.3 * unit)
                continue
            path = canvas.beginPath()
            path.moveTo(*points[0])
            for point in points[1:]:
                path.lineTo(*point)
            if mark.shape == "polygon":
                path.close()
            canvas.drawPath(path)
        self._badge(mark.number, points[0][0] - 2.6 * unit, points[0][1] + 2.6 * unit, unit)

    def _badge(self, number: int, x: float, y: float, unit: float) -> None:
        canvas = self.canv
        canvas.setFillColor(BRASS)
        canvas.setStrokeColor(white)
        canvas.setLineWidth(0.4 * unit)
        canvas.circle(x, y, 2.2 * unit, fill=1)
        canvas.setFillColor(white)
        canvas.setFont("Sans-Bold", 2.5 * unit)
        canvas.drawCentredString(x, y - 0.85 * unit, str(number))


class Tally(Flowable):  # type: ignore[misc] # the library has no types
    """One to four strokes: how bad a finding is."""

    def __init__(self, strokes: int) -> None:
        super().__init__()
        self.strokes, self.width, self.height = strokes, strokes * (STROKE + BETWEEN), 2.6 * mm

    def draw(self) -> None:
        """The strokes side by side."""
        for place in range(self.strokes):
            self.canv.rect(place * (STROKE + BETWEEN), 0, STROKE, self.height, stroke=0, fill=1)


def _words(text: str, style: ParagraphStyle = TEXT) -> Paragraph:
    return Paragraph(escape(text), style)


def _pairs(rows: Iterable[tuple[str, str]]) -> Table:
    cells = [[_words(name, LABEL), _words(value)] for name, value in rows]
    return Table(cells, colWidths=[46 * mm, WIDTH - 46 * mm], style=RULES)


def _rows(rows: Sequence[Row]) -> Table:
    return _pairs((row.label, row.value) for row in rows)


def _table(head: str, widths: Sequence[float], rows: Iterable[Sequence[str]]) -> Table:
    cells = [[_words(word, LABEL) for word in head.split("|")]]
    cells += [[_words(text, SMALL) for text in row] for row in rows]
    return Table(cells, colWidths=[w * mm for w in widths], style=RULES, repeatRows=1)


Picture = Callable[[Plate], Shot]


def _side_by_side(cells: Sequence[Any], width: float) -> Table:
    return Table([list(cells)], colWidths=[width] * len(cells), style=BARE)


def _pictured(plate: Plate, shot: Picture) -> list[Any]:
    return [shot(plate)] if plate.photo else []


def _captioned(plate: Plate, shot: Picture) -> list[Any]:
    if plate.photo is None:
        return []
    return [shot(plate), _words(f"Photo {plate.photo.number} · {plate.photo.caption}", SMALL)]


def _finding(one: FindingBlock) -> list[Any]:
    words = (
        f"{one.severity_label.capitalize()}, {one.stability}, {one.age}, {one.extent}. "
        f"{one.location}. {one.note} Probable cause: {one.cause}. Urgency: {one.urgency}."
    )
    return [_words(f"{one.number} {one.name}", SUB), Tally(one.severity), _words(words, SMALL)]


def _first_page(body: ConditionReport, shot: Picture) -> list[Any]:
    face = plates.face_plate(body.findings, body.photos, body.cover)
    rows = {row.key: row for row in (*body.answer, *body.judgement)}
    if face is None:
        return [_rows(tuple(rows.values()))]
    beside = [_words(f"{row.label}: {row.value}", SMALL) for row in body.answer[:5]]
    worst = [
        [*_pictured(plate, shot), *_finding(plate.findings[0])[:2]]
        for plate in plates.worst_plates(body.worst, body.photos)
    ]
    return [
        Table([[_captioned(face, shot), beside]], colWidths=[WIDTH * 0.6, WIDTH * 0.4], style=BARE),
        *[_words(f"{row.label} {row.value}") for row in list(rows.values())[5:]],
        *[_words(one.caution) for one in body.hazards],
        _side_by_side(worst, WIDTH / 3),
    ]


def _where(body: ConditionReport, shot: Picture) -> list[Any]:
    """The maps, the first one large, and the index in two columns."""
    found = [_captioned(plate, shot) for plate in plates.maps(body.photos)]
    half = (len(body.findings) + 1) // 2
    index = [_index(part) for part in (body.findings[:half], body.findings[half:]) if part]
    return [*(found[0] if found else []), *_rows_of(found[1:], 2), _side_by_side(index, WIDTH / 2)]


def _index(findings: Sequence[FindingBlock]) -> Table:
    return _table(
        "No.|Finding, part|Severity|Photo",
        (7, 44, 20, 9),
        (
            (str(one.number), one.name, one.severity_label, ", ".join(map(str, one.photos)))
            for one in findings
        ),
    )


def _rows_of(cells: Sequence[Any], count: int) -> list[Any]:
    rows = [[*cells[at : at + count], *[[]] * count][:count] for at in range(0, len(cells), count)]
    return [KeepTogether([_side_by_side(row, WIDTH / count)]) for row in rows]


def _findings(body: ConditionReport, shot: Picture) -> list[Any]:
    """Two columns that are filled one after the other, as the report has them."""
    story: list[Any] = []
    for block in in_columns(plates.finding_plates(body.findings, body.photos)):
        cells = [[part for plate in column for part in _plate(plate, shot)] for column in block]
        story += [KeepTogether([_side_by_side(cells, (WIDTH + GAP) / 2)]), Spacer(1, 3 * mm)]
    return story


def _plate(plate: Plate, shot: Picture) -> list[Any]:
    return [*_captioned(plate, shot), *(part for one in plate.findings for part in _finding(one))]


def _parts(body: ConditionReport) -> Table:
    """The parts of which the same is said in one row."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for part in body.parts:
        key = f"{part.material} {part.material_note}", part.originality, part.protection
        alike.setdefault(key, []).append(part.label)
    rows = [(", ".join(labels), *said) for said, labels in alike.items()]
    return _table("Part present|Material|Originality|Protected species", (55, 60, 31, 24), rows)


def story(body: ConditionReport, title: str, file_of: Callable[[str], Path]) -> list[Any]:
    """The whole report in the order of the paper."""

    def shot(plate: Plate) -> Shot:
        return Shot(file_of(plate.photo.picture if plate.photo else ""), plate)

    others = plates.other_views(body.findings, body.photos, body.cover)
    parts: list[Any] = [_words(title, TITLE), _words(body.instrument, SMALL)]
    parts += [*_first_page(body, shot), PageBreak()]
    parts += [_words("Where it shows", HEAD), *_where(body, shot)]
    parts += [_words("Findings", HEAD), *_findings(body, shot)]
    parts += [_words("Photos", HEAD), *[_words(f"{r.label}: {r.value}") for r in body.photo_set]]
    parts += _rows_of([_captioned(plate, shot) for plate in others], 4)
    parts += [_words("Judgement and advice", HEAD), _rows(body.judgement), _rows(body.hazard_rows)]
    parts += [_words(body.hazards_note), _words("Identity", HEAD), _rows(body.identity)]
    parts += [_words(" · ".join(map(" ".join, body.sizes))), _words(body.label_text)]
    parts += [_words("Parts and materials", HEAD), _parts(body)]
    parts += [_words(": ".join(row)) for row in body.protected]
    parts += [_words("The stay", HEAD), _rows(body.stay), _pairs(body.leaves)]
    parts += [_words(body.owner_words), _rows(body.so_far)]
    parts += [_words("Examination", HEAD), _rows(body.examination)]
    parts += [_words(", ".join(body.parts_looked_at)), _pairs(body.parts_not_examined)]
    defined = {one.term: one.definition for one in body.findings}
    parts += [_words("Method and reliance", HEAD), _words(METHOD)]
    return [*parts, _words(" ".join(map(" ".join, defined.items())), SMALL)]


def main() -> None:
    """Lay the same report out with another engine: what a layout costs at all."""
    folder, count = Path(sys.argv[1]), int(sys.argv[2])
    rl_config.useA85 = 0  # its default spends seconds on writing bytes as text
    for name, file in FACES.items():
        pdfmetrics.registerFont(TTFont(name, str(LETTERS / file)))
    printed = sheet(read_pictures(folder, count))
    target = folder / f"laid-out-{count}.pdf"
    document = BaseDocTemplate(str(target), pagesize=A4, title=printed.title)
    frame = Frame(20 * mm, 17 * mm, WIDTH, 260 * mm, 0, 0, 0, 0)
    document.addPageTemplates(PageTemplate(frames=[frame], onPage=_footer))
    document.build(story(printed.body, printed.title, lambda name: folder / "media" / name))
    tell({"pages": document.page, "size_mb": target.stat().st_size / 1e6})


def _footer(canvas: Any, document: Any) -> None:
    canvas.setFont("Sans", 8.5)
    canvas.drawRightString(190 * mm, 12 * mm, str(document.page))


if __name__ == "__main__":
    main()
