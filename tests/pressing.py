"""A press that compiles and does not lay out, for every test that is not about the printed thing.

Laying a report out takes a second, and most tests that issue a paper ask what was written down,
not how it looks. Here the sheet is checked, its template is rendered in its language, and every
picture and font that it names is asked for, so that what stops the real press stops this one too;
then the words of the page go, unseen and without a layout, on a page that the real press printed
once: tagged, in the sheet's language, with its enclosures, metadata and identifier, and the same
bytes each time.

``@pytest.mark.real_press`` gives a test, with all its fixtures, the real one.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable, Iterator
from functools import cache, partial
from io import BytesIO
from typing import IO, Any

import pydyf
import pytest
import tinyhtml5

from repairs.press import render as press
from repairs.press.document import Sheet
from repairs.press.maker import HTML, FatalURLFetchingError
from repairs.press.xmp import PDF_UA, described

UNPRINTED = {"head", "style", "script", "title", "desc", "template"}
INLINE = {"a", "abbr", "b", "bdi", "cite", "code", "em", "i", "q", "s", "small", "span", "strong"}
INLINE |= {"sub", "sup", "time", "tspan", "u"}
RUNNING = ("data-house", "data-reference", "data-seal")  # string-set in paper.css
LINE_PT, GLYPHS = 12, 255
real_print = press._print


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """Around the test and whatever is set up for it, be it for its module or its class."""
    with pytest.MonkeyPatch.context() as patch:
        if item.get_closest_marker("real_press") is None:
            patch.setattr(press, "_print", compile_only)
        return (yield)


def compile_only(sheet: Sheet, file: IO[bytes]) -> int:
    """Write a PDF of one page that says what the sheet says; stands for ``press._print``."""
    root = tinyhtml5.parse(press.to_html(sheet), namespace_html_elements=False)
    _fetch_all(root)
    document = _blank(str(root.get("lang", "")))
    document.metadata = type(document.metadata)(
        lang=root.get("lang"),
        title=" ".join((root.findtext("head/title") or "").split()),
        attachments=press._attachments(sheet),
    )
    press._describe(document.metadata, described((PDF_UA, *sheet.claims)))
    document.write_pdf(
        file,
        pdf_variant="pdf/a-3a",
        pdf_identifier=False,
        finisher=partial(_finish, words=list(lines(root)), identifier=press._identifier(sheet)),
    )
    return 1


@cache
def _blank(language: str) -> Any:
    page = f"<html lang='{language}'><title>-</title><p style='font-family: DejaVu Sans'>–"
    document = HTML(string=page).render(pdf_tags=True)
    document.write_pdf(BytesIO(), pdf_variant="pdf/a-3a")  # its fonts are cut to size for good
    return document


def _fetch_all(root: ET.Element) -> None:
    """Ask for every file that the page names, as the real press would."""
    fetcher = press.HouseFetcher(allowed_protocols={"file"}, fail_on_errors=True)
    for element in root.iter():
        name = "src" if element.tag == "img" else "href" if _tag(element) == "image" else ""
        address = element.get(name, "") if name else ""
        if name and not address.startswith("data:"):
            try:
                fetcher.fetch(address).close()
            except (OSError, ValueError) as fault:
                raise FatalURLFetchingError(address) from fault


def _tag(element: ET.Element) -> str:
    return str(element.tag).rpartition("}")[2]


def lines(root: ET.Element) -> Iterator[str]:
    """The words of the page, a line for every block, and what its head and foot repeat."""
    body = root.find("body")
    yield from ([] if body is None else map(tidy, filter(None, map(body.get, RUNNING))))
    said: list[str] = []
    for part in _pieces(root):
        if part is not None:
            said.append(part)
        else:
            line, said = tidy("".join(said)), []
            if line:
                yield line


def tidy(text: str) -> str:
    """White space of HTML made one space; the hard ones of French typography stay."""
    return re.sub(r"[ \n\t\r]+", " ", text).strip(" ")


def _pieces(element: ET.Element) -> Iterator[str | None]:
    """Text as it stands; nothing where a block begins or ends."""
    if not isinstance(element.tag, str) or _tag(element) in UNPRINTED:
        return
    inline = _tag(element) in INLINE
    if not inline:
        yield None
    yield element.text or ""
    for child in element:
        yield from _pieces(child)
        yield child.tail or ""
    if not inline:
        yield None


def _finish(document: Any, pdf: Any, *, words: list[str], identifier: bytes) -> None:
    _write(pdf, words)
    press._finish(document, pdf, identifier=identifier)


def _write(pdf: Any, words: Iterable[str]) -> None:
    """Put the words on the first page, in fonts of empty glyphs that know their letters."""
    codes: dict[str, tuple[int, int]] = {}
    content = [b"BT 3 Tr 50 800 Td"]
    for line in words:
        for letter in line:
            codes.setdefault(letter, divmod(len(codes), GLYPHS))
        content += [_shown(line, codes), f"0 -{LINE_PT} Td".encode()]
    fonts = {
        f"W{number}": _font(pdf, number, codes) for number in {font for font, _ in codes.values()}
    }
    form = pydyf.Stream(
        [*content, b"ET"],
        {
            "Type": "/XObject",
            "Subtype": "/Form",
            "BBox": pydyf.Array([0, 0, 595, 842]),
            "Resources": pydyf.Dictionary({"Font": pydyf.Dictionary(fonts)}),
        },
    )
    pdf.add_object(form)
    call = pydyf.Stream([b"/Artifact BMC /Said Do EMC"])
    pdf.add_object(call)
    page = next(one for one in pdf.objects if isinstance(one, dict) and one.get("Type") == "/Page")
    objects: list[Any] = [one for one in pdf.objects if isinstance(one, dict)]
    by_reference = {one.reference: one for one in objects}
    resources = by_reference[page["Resources"]]
    pictures = resources.get("XObject", {})
    resources["XObject"] = pydyf.Dictionary({**pictures, "Said": form.reference})
    page["Contents"] = pydyf.Array([page["Contents"], call.reference])


def _shown(line: str, codes: dict[str, tuple[int, int]]) -> bytes:
    """Runs of the line by font: a simple font has room for 255 letters."""
    shown, before = [], -1
    for letter in line:
        font, code = codes[letter]
        if font != before:
            shown.append((font, bytearray()))
            before = font
        shown[-1][1].append(code + 1)
    return b" ".join(b"/W%d 1 Tf <%s> Tj" % (font, run.hex().encode()) for font, run in shown)


def _font(pdf: Any, number: int, codes: dict[str, tuple[int, int]]) -> bytes:
    mine = {code + 1: letter for letter, (font, code) in codes.items() if font == number}
    pairs = "\n".join(
        f"<{code:02x}> <{letter.encode('utf-16-be').hex()}>" for code, letter in mine.items()
    )
    unicode = pydyf.Stream(
        [
            b"/CIDInit /ProcSet findresource begin 12 dict begin begincmap",
            b"1 begincodespacerange <00> <ff> endcodespacerange",
            f"{len(mine)} beginbfchar\n{pairs}\nendbfchar".encode(),
            b"endcmap end end",
        ]
    )
    glyph = pydyf.Stream([b"0 0 d0"])
    pdf.add_object(unicode)
    pdf.add_object(glyph)
    names = pydyf.Array([1, *(f"/g{code}" for code in mine)])
    font = pydyf.Dictionary(
        {
            "Type": "/Font",
            "Subtype": "/Type3",
            "FontBBox": pydyf.Array([0, 0, 1, 1]),
            "FontMatrix": pydyf.Array([1, 0, 0, 1, 0, 0]),
            "CharProcs": pydyf.Dictionary({f"g{code}": glyph.reference for code in mine}),
            "Encoding": pydyf.Dictionary({"Type": "/Encoding", "Differences": names}),
            "FirstChar": 1,
            "LastChar": len(mine),
            "Widths": pydyf.Array([0] * len(mine)),
            "ToUnicode": unicode.reference,
        }
    )
    pdf.add_object(font)
    return bytes(font.reference)
