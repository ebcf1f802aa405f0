"""A sheet becomes the same PDF/A-3a + PDF/UA-1 every time, with its data inside."""

from __future__ import annotations

import dataclasses
import datetime as dt
import io
import json
import logging
from typing import Any

import pypdf
import pytest

from repairs.press import glyphs
from repairs.press.document import HouseBlock, Seal, Sheet
from repairs.press.glyphs import written_out
from repairs.press.refusals import PaperNotPrintableError
from repairs.press.render import HouseFetcher, render
from tests.outside.verapdf import validate

pytestmark = pytest.mark.real_press

MOMENT = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


@dataclasses.dataclass(frozen=True, kw_only=True)
class Body:
    case_number: str = "2026-001"
    instrument: str = "wheel fiddle"
    instrument_number: str = "I-0001"
    owner: str = "Garance Ollivant"
    received_on: str = "25 November 2026"
    address: str = "http://127.0.0.1:8000/cases/2026-001/"


@pytest.fixture
def sheet() -> Sheet:
    house = HouseBlock(name="Atelier", trade="", address=(), email="", phone="", registration="")
    return Sheet(
        kind="label",
        template="cases/label.html",
        subject="case:2026-001",
        language="en",
        title="Label",
        reference="2026-001",
        house=house,
        made_at=MOMENT,
        body=Body(),
    )


def text_of(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)


def test_the_same_sheet_gives_the_same_bytes(sheet):
    first, pages = render(sheet)
    second, _pages = render(sheet)

    assert first == second
    assert pages == 1


def test_another_text_gives_another_file(sheet):
    other = dataclasses.replace(sheet, body=Body(owner="Somebody Else"))

    assert render(sheet)[0] != render(other)[0]


def test_the_data_travels_inside_the_pdf(sheet):
    pdf, _pages = render(sheet)

    attached = pypdf.PdfReader(io.BytesIO(pdf)).attachments["label.json"][0]
    assert json.loads(attached) == sheet.data()


def test_no_library_has_anything_to_warn_of_while_it_prints(sheet, caplog):
    """Without the system's HarfBuzz subsetter, for one, each paper would be printed with a warning
    about slow fonts on standard error."""
    with caplog.at_level(logging.WARNING):
        render(sheet)

    assert [(one.name, one.getMessage()) for one in caplog.records] == []


def test_every_font_is_embedded(sheet):
    pdf, _pages = render(sheet)

    page: Any = pypdf.PdfReader(io.BytesIO(pdf)).pages[0]
    fonts = page["/Resources"]["/Font"]
    for font in fonts.values():
        descendant = font.get_object()["/DescendantFonts"][0].get_object()
        descriptor = descendant["/FontDescriptor"].get_object()
        assert {"/FontFile2", "/FontFile3"} & set(descriptor)


def test_a_label_passes_verapdf(sheet, tmp_path):
    path = tmp_path / "label.pdf"
    path.write_bytes(render(sheet)[0])

    assert validate([path]) == {"label.pdf": {"3a": [], "ua1": []}}


def test_letters_without_a_glyph_are_written_out_by_name():
    assert written_out("corde 🎻 !") == "corde [violin] !"
    assert written_out("été ’ « » – × ½ œ") == "été ’ « » – × ½ œ"


def test_what_is_taken_for_drawn_is_drawn_by_the_houses_own_fonts():
    own = glyphs._points_of(glyphs.font_file("atelier-text-400.ttf"))
    own |= glyphs._points_of(glyphs.font_file("atelier-text-400-more.ttf"))
    common = [chr(point) for point in range(0x3000) if glyphs.COMMON.fullmatch(chr(point))]

    assert len(common) > 200
    assert [letter for letter in common if ord(letter) not in own and letter not in "\n\r\t"] == []


def test_right_to_left_text_is_drawn_not_written_out(sheet):
    words = "עברית العربية"
    pdf, _pages = render(dataclasses.replace(sheet, body=Body(owner=words)))

    assert written_out(words) == words
    assert any(
        "\u0590" <= letter <= "\u06ff" or "\ufb1d" <= letter <= "\ufeff" for letter in text_of(pdf)
    )


@pytest.mark.parametrize(
    "address",
    [
        "http://127.0.0.1:1/x.png",
        "file:///etc/hostname",
        "store:../../secret-key",
        "ftp://x/y",
        "font:../../x",
        "data:text/plain,x",
    ],
)
def test_nothing_outside_the_store_and_the_fonts_is_read(address):
    fetcher = HouseFetcher(allowed_protocols={"file"}, fail_on_errors=False)

    with pytest.raises(ValueError, match=r"refused|outside|no font"):
        fetcher.fetch(address)


def test_a_missing_picture_is_refused_with_a_sentence(sheet, monkeypatch):
    monkeypatch.setattr(
        "repairs.press.render.render_to_string",
        lambda *_: '<html lang="en"><img src="store:derived/none.jpg" alt="x">',
    )

    with pytest.raises(PaperNotPrintableError, match="a picture of it cannot be read"):
        render(sheet)


def test_a_seal_changes_the_bytes_but_not_what_is_said(sheet):
    seal = Seal(
        code="ABCD-EFGH-JKMN",
        version=1,
        replaces="",
        issued_at=MOMENT,
        issued_by="Hélène",
        verify_address="http://x/verify/",
    )
    sealed = dataclasses.replace(sheet, seal=seal)

    assert sealed.fingerprint() == sheet.fingerprint()
    assert sealed.data() != sheet.data()
