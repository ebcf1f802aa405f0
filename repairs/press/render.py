"""From a compiled sheet to the bytes of a PDF/A-3a that is also PDF/UA-1.

The same sheet gives the same bytes: dates and identifiers come from the sheet alone.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import gc
import hashlib
from functools import partial
from io import BytesIO
from tempfile import TemporaryFile
from typing import IO, Any

import pydyf
from django.conf import settings
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from repairs.press import contents
from repairs.press.document import Enclosure, Sheet, canonical, readable
from repairs.press.edges import without_edges
from repairs.press.glyphs import font_file, printable
from repairs.press.maker import HTML, VERSION, Attachment, FatalURLFetchingError, URLFetcher
from repairs.press.refusals import PaperNotPrintableError
from repairs.press.style import style_of
from repairs.press.xmp import PDF_UA, described
from repairs.storage import files as store
from workshop import __version__

RENDERER = f"Sautereau {__version__}, WeasyPrint {VERSION}"
FEW_PAGES = 8


class HouseFetcher(URLFetcher):  # type: ignore[misc] # the library has no types
    """Reads pictures of the store and the house's fonts; everything else is refused."""

    def fetch(self, url: str, headers: Any = None) -> Any:
        """The file of a ``store:`` or ``font:`` address. Raises ValueError for any other."""
        scheme, _colon, name = url.partition(":")
        if scheme == "store":
            return super().fetch(store.path_of(name).as_uri(), headers)
        if scheme == "font":
            return super().fetch(font_file(name).as_uri(), headers)
        raise ValueError(f"refused: {url[:80]}")


def to_html(sheet: Sheet) -> str:
    """Render the sheet's template in the sheet's language and the house's time zone."""
    shown = printable(dataclasses.replace(sheet, carried=None, enclosures=()))
    context = {"sheet": shown, "body": shown.body, "seal": shown.seal, "renderer": RENDERER}
    with translation.override(sheet.language), timezone.override(settings.TIME_ZONE):
        html = render_to_string(sheet.template, context)
    return styled(without_edges(html))


def styled(html: str) -> str:
    """The page with the papers' style, ahead of its own if it has one: a label is no A4 page.

    The style lies in the paper's HTML and not behind an address: a sheet asks nothing of the
    network.
    """
    before = "<style>" if "<style>" in html else "</head>"
    return html.replace(before, f"<style>{style_of(html)}</style>{before}", 1)


def render(sheet: Sheet) -> tuple[bytes, int]:
    """Return the PDF and its number of pages.

    Raises PaperNotPrintableError when a picture or a font is missing: a paper with a hole in it
    is worse than none.
    """
    try:
        with TemporaryFile() as file:
            pages = _print(sheet, file)
            if pages > FEW_PAGES:  # for a short paper it would be a fifth of the time
                gc.collect()  # the laid out pages make room for the PDF: a tenth less memory
            file.seek(0)
            return file.read(), pages
    except FatalURLFetchingError as hole:  # a BaseException: it would pass every other net
        raise PaperNotPrintableError(why=_("a picture of it cannot be read.")) from hole


def _print(sheet: Sheet, file: IO[bytes]) -> int:
    """Write the PDF into the file; return the number of pages."""
    # Typed words reach the HTML; were one ever left unescaped, it could still fetch nothing but our
    # pictures and fonts.
    fetcher = HouseFetcher(allowed_protocols={"file"}, fail_on_errors=True)
    document = _laid_out(to_html(sheet), fetcher)
    document.metadata.attachments = _attachments(sheet)
    _describe(document.metadata, described((PDF_UA, *sheet.claims)))
    # PDF/A-3 (ISO 19005-3) is the part that may carry files, which an e-invoice needs; “a” is its
    # level with tags and Unicode, on which PDF/UA-1 (ISO 14289-1) builds.
    document.write_pdf(
        file,
        pdf_variant="pdf/a-3a",
        pdf_identifier=False,  # _identify does it
        finisher=partial(_finish, identifier=_identifier(sheet)),
    )
    return len(document.pages)


def _laid_out(html: str, fetcher: HouseFetcher) -> Any:
    """The pages, with a table of contents where they are many and the paper has a place for it."""

    def pages_of(page: str) -> Any:
        return HTML(string=page, url_fetcher=fetcher).render(pdf_tags=True)

    if not contents.has_place(html):
        return pages_of(html)
    bare, listed = contents.without_contents(html), contents.with_contents(html)
    if contents.seems_long(html):
        document = pages_of(listed)
        return document if len(document.pages) >= contents.FROM_PAGES else pages_of(bare)
    document = pages_of(bare)
    return document if len(document.pages) < contents.FROM_PAGES else pages_of(listed)


def _identifier(sheet: Sheet) -> bytes:
    """The file's lasting identifier, which other programs keep when they save it anew: it bears
    the printed code, so that a changed file can still be told whose it was."""
    digest = hashlib.sha256(canonical(sheet.data())).hexdigest()
    return f"{sheet.seal.code} {digest}".encode() if sheet.seal else digest.encode()


def _attachments(sheet: Sheet) -> list[Attachment]:
    """The data that the paper was made from, so that another program can read it later, and what
    else is enclosed; by name, as PDF wants its name trees."""
    snapshot = Enclosure(
        name=f"{sheet.kind.replace('_', '-')}.json",
        content=readable(sheet.data()),
        description="Data of this paper",
    )
    # Of the sheet and not of the clock: the same sheet must give the same bytes.
    moment = sheet.made_at.astimezone(dt.UTC)
    return [
        Attachment(
            file_obj=BytesIO(one.content),
            name=one.name,
            description=one.description,
            created=moment,
            modified=moment,
            relationship=one.relationship,
        )
        for one in sorted((snapshot, *sheet.enclosures), key=lambda one: one.name)
    ]


def _describe(metadata: Any, description: bytes) -> None:
    """Add to the XMP, PDF/UA for one: the page maker takes one variant only, and what it adds by
    its own means stands in a second RDF that nobody reads (an undocumented hook)."""
    original = metadata.generate_rdf_metadata

    def generate(*args: Any, **kwargs: Any) -> bytes:
        rdf: bytes = original(*args, **kwargs)
        return rdf.replace(b"</rdf:RDF>", description + b"</rdf:RDF>", 1)

    metadata.generate_rdf_metadata = generate


def _finish(_document: Any, pdf: Any, *, identifier: bytes) -> None:
    """Mend gaps of the page maker: attachments listed twice, header cells without scope, and pages
    that bear no number but their place."""
    _identify(pdf, identifier)
    # A reader who is told “page 7” finds what the foot of the page calls 7 (ISO 32000-1, 12.4.2).
    style = pydyf.Dictionary({"S": "/D", "St": 1})
    pdf.catalog["PageLabels"] = pydyf.Dictionary({"Nums": pydyf.Array([0, style])})
    # The library lists an enclosed file once for each place that names it; PDF/A-3 wants it once.
    if listed := pdf.catalog.get("AF"):
        pdf.catalog["AF"] = pydyf.Array(dict.fromkeys(listed))
    objects: list[Any] = [item for item in pdf.objects if isinstance(item, dict)]
    by_reference: dict[Any, Any] = {item.reference: item for item in objects}
    for item in list(by_reference.values()):
        if item.get("S") == "/TH":
            row = by_reference.get(item.get("P"), {})
            group = by_reference.get(row.get("P"), {})
            attributes = item.get("A") or pydyf.Dictionary({"O": "/Table"})
            attributes["O"] = "/Table"
            # PDF/UA-1, clause 7.5: a header cell says whether it heads a column or a row, else a
            # screen reader reads the cells without saying of what.
            attributes["Scope"] = "/Column" if group.get("S") == "/THead" else "/Row"
            item["A"] = attributes


def _identify(pdf: Any, identifier: bytes) -> None:
    """Put the file identifier, which PDF/A demands, into the cross-reference stream.

    The page maker does it too, but serialises every picture once more and holds two copies of the
    whole file to hash it: a fifth of the writing time, and twice the file in memory.
    """
    add = pdf.add_object

    def add_identified(item: Any) -> None:
        if isinstance(item, pydyf.Stream) and item.extra.get("Type") == "/XRef":
            item.extra["ID"] = pydyf.Array([pydyf.String(identifier)] * 2)
        add(item)

    pdf.add_object = add_identified
