"""A second yardstick: the same report laid out by ReportLab, which has no HTML and no CSS.

Same pictures, marks, tables and texts at about the same sizes; untagged, no PDF/A, no attachment.
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
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
    TableStyle,
)

from repairs.measures.child import tell
from repairs.measures.content import read_pictures, sheet
from repairs.papers.blocks.document import ConditionReport, FindingBlock, PhotoBlock, Row
from repairs.photos.overlay import Mark

WIDTH = 170 * mm
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
BARE = TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)])


class Shot(Flowable):  # type: ignore[misc] # the library has no types
    """A photo with the marks of its tags."""

    def __init__(self, file: Path, photo: PhotoBlock, width: float) -> None:
        super().__init__()
        self.file, self.photo = file, photo
        self.width, self.height = width, width * photo.height / photo.width

    def draw(self) -> None:
        """The picture with its marks, as the layout engine asks for it."""
        self.canv.drawImage(str(self.file), 0, 0, self.width, self.height)
        for mark in self.photo.marks:
            self._mark(mark)

    def _mark(self, mark: Mark) -> None:
        canvas, unit = self.canv, max(self.width, self.height) / 100
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


def _findings(findings: Sequence[FindingBlock]) -> Table:
    return _table(
        "No.|Term, part, location|Extent|Severity|Stability, age|Urgency|Probable cause",
        (7, 54, 19, 26, 26, 19, 19),
        (
            (
                str(f.number),
                f"{f.term}, {f.part}, {f.location} (photos {f.photos}). {f.definition}",
                f.extent,
                f.severity_label,
                f"{f.stability}; {f.age}",
                f.urgency,
                f.cause,
            )
            for f in findings
        ),
    )


def _parts(body: ConditionReport) -> Table:
    return _table(
        "Part present|Material|Protected species|Originality|State, findings",
        (42, 52, 26, 26, 24),
        (
            (p.label, f"{p.material} {p.material_note}", p.protection, p.originality, p.state)
            for p in body.parts
        ),
    )


def _caption(photo: PhotoBlock) -> Paragraph:
    words = f"Photo {photo.number} · {photo.caption} · {photo.phase}, {photo.taken_at}"
    return _words(words, SMALL)


def _photos(body: ConditionReport, file_of: Callable[[str], Path]) -> list[Any]:
    story: list[Any] = []
    plain: list[list[Any]] = []
    for photo in body.photos:
        wide = photo.width >= photo.height
        if not photo.findings:
            width = 80 * mm if wide else 80 * mm * photo.width / photo.height
            plain.append([Shot(file_of(photo.picture), photo, width), _caption(photo)])
            continue
        width = (94 if wide else 72) * mm
        beside = [_words(_finding_words(one), SMALL) for one in photo.findings]
        pair = [[Shot(file_of(photo.picture), photo, width), _caption(photo)], beside]
        widths = [width + 5 * mm, WIDTH - width - 5 * mm]
        story += [KeepTogether([Table([pair], colWidths=widths, style=BARE)]), Spacer(1, 4 * mm)]
    for i in range(0, len(plain), 2):
        row = [*plain[i : i + 2], []][:2]
        story.append(KeepTogether([Table([row], colWidths=[WIDTH / 2] * 2, style=BARE)]))
    return story


def _finding_words(one: FindingBlock) -> str:
    return (
        f"{one.number} {one.term}, {one.part}. {one.location}. {one.extent}. "
        f"{one.severity_label}, {one.stability}. {one.note}"
    )


def story(body: ConditionReport, title: str, file_of: Callable[[str], Path]) -> list[Any]:
    """The whole report in the order of the paper."""
    parts: list[Any] = [_words(title, TITLE), _words(body.instrument, SMALL)]
    if body.cover:
        parts.append(Shot(file_of(body.cover.picture), body.cover, 62 * mm))
    parts.append(_rows(body.answer))
    parts += [_words(_finding_words(one)) for one in body.worst]
    parts += [_words("Photos and the findings on them", HEAD), *_photos(body, file_of)]
    parts += [_words("Register of findings", HEAD), _findings(body.findings)]
    parts += [_words("Identity", HEAD), _rows(body.identity), _words(body.label_text)]
    parts += [_words("Sizes", SUB), _pairs(body.sizes)]
    parts += [_words("The stay", HEAD), _rows(body.stay), _words(body.owner_words)]
    parts += [_words("Leave", SUB), _pairs(body.leaves)]
    parts += [_words("Examination", HEAD), _rows(body.examination)]
    parts += [_words(", ".join(body.parts_looked_at)), _pairs(body.parts_not_examined)]
    parts += [_words("Parts and materials", HEAD), _parts(body)]
    parts += [_words(": ".join(row)) for row in body.protected]
    parts += [_words("Hazards", HEAD)] + [_words(one.caution) for one in body.hazards]
    parts += [_words(body.hazards_note), _rows(body.hazard_rows)]
    parts += [_words("Judgement and advice", HEAD), _rows(body.judgement)]
    parts += [_words("Photo set", HEAD), _rows(body.photo_set)]
    return [*parts, _words("What stands at this date", HEAD), _rows(body.so_far)]


def main() -> None:
    """Lay the same report out with another engine: what a layout costs at all."""
    folder, count = Path(sys.argv[1]), int(sys.argv[2])
    rl_config.useA85 = 0  # its default spends seconds on writing bytes as text
    for name, file in FACES.items():
        pdfmetrics.registerFont(TTFont(name, str(LETTERS / file)))
    printed = sheet(read_pictures(folder, count))
    target = folder / f"laid-out-{count}.pdf"
    document = BaseDocTemplate(str(target), pagesize=A4, title=printed.title)
    frame = Frame(20 * mm, 22 * mm, WIDTH, 251 * mm, 0, 0, 0, 0)
    document.addPageTemplates(PageTemplate(frames=[frame], onPage=_footer))
    document.build(story(printed.body, printed.title, lambda name: folder / "media" / name))
    tell({"pages": document.page, "size_mb": target.stat().st_size / 1e6})


def _footer(canvas: Any, document: Any) -> None:
    canvas.setFont("Sans", 8.5)
    canvas.drawRightString(190 * mm, 12 * mm, str(document.page))


if __name__ == "__main__":
    main()
