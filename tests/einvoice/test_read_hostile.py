"""Files that nobody can read as an e-invoice: each is refused in a sentence."""

from __future__ import annotations

import io
import json
from decimal import Decimal
from pathlib import Path

import pikepdf
import pypdf
import pytest

from repairs.einvoice.check.received import check_received
from repairs.einvoice.read.read import read_xml
from repairs.einvoice.refusals import ReceivedUnreadableError
from repairs.einvoice.write.cii import build_cii
from repairs.einvoice.write.ubl import build_ubl
from repairs.money import NOTHING
from tests.einvoice.samples import CREDITED, DISCOUNTED, TWO_RATES

D = Decimal
PUBLISHED = json.loads(
    (Path(__file__).with_name("published") / "en16931_figures.json").read_text(encoding="utf-8")
)
CII, UBL = build_cii(TWO_RATES), build_ubl(TWO_RATES)


BOMB = b"""<?xml version="1.0"?>
<!DOCTYPE lolz [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>
<Invoice xmlns="urn:oasis:names:specification:ubl:schema:xsd:Invoice-2">&b;</Invoice>"""
SPY = b"""<?xml version="1.0"?>
<!DOCTYPE spy [<!ENTITY file SYSTEM "file:///etc/passwd">]>
<Invoice xmlns="urn:oasis:names:specification:ubl:schema:xsd:Invoice-2">&file;</Invoice>"""
DEEP = (
    b'<Invoice xmlns="urn:oasis:names:specification:ubl:schema:xsd:Invoice-2">'
    + b"<a>" * 5000
    + b"</a>" * 5000
    + b"</Invoice>"
)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "it is empty"),
        (b"\x00\xff\xfe", "no well-formed XML"),
        (b"<Invoice>\n<a></b>", "the reading stops in line 2 at sign"),
        (b"<html/>", "neither CII nor UBL"),
        (b"<Invoice/>", "neither CII nor UBL"),
        (BOMB, "document type declaration"),
        (SPY, "document type declaration"),
        (DEEP, "no well-formed XML"),
        (b"<a>" + b"x" * 5_000_001 + b"</a>", "larger than 5 MB"),
        (CII.replace(b">425.42<", b">1E9<"), "is no number"),
        (CII.replace(b">425.42<", b">NaN<"), "is no number"),
        (CII.replace(b">425.42<", b">" + b"9" * 4000 + b"<"), "is no number"),
        (CII.replace(b">20261120<", b">20261332<"), "is no date"),
        (b"%PDF-1.7\nnot really", "PDF is damaged"),
        (b"%PDF-1.7\n" + b"0" * 20_000_001, "larger than 20 MB"),
    ],
)
def test_what_cannot_be_read_is_refused_in_a_sentence(data, says):
    with pytest.raises(ReceivedUnreadableError, match=says) as refusal:
        check_received(data, "theirs.xml")

    assert str(refusal.value).startswith("“theirs.xml” cannot be read as an e-invoice: ")


def pdf_with(xml: bytes | None, *, password: str = "", name: str = "factur-x.xml") -> bytes:
    writer = pypdf.PdfWriter()
    writer.add_blank_page(200, 200)
    if xml is not None:
        writer.add_attachment(name, xml)
    if password:
        writer.encrypt(password, algorithm="RC4-128")
    written = io.BytesIO()
    writer.write(written)
    return written.getvalue()


@pytest.mark.parametrize("name", ["factur-x.xml", "xrechnung.xml", "ZUGFeRD-invoice.xml"])
def test_the_invoice_inside_a_pdf_is_checked(name):
    checked = check_received(pdf_with(CII, name=name), "theirs.pdf")

    assert checked.passed
    assert checked.xml == CII
    assert "not the page that people see" in checked.data()["note"]
    assert checked.data()["only_xml_inside_pdf"] is True


def test_of_the_xml_alone_no_page_is_spoken_of():
    assert check_received(CII, "theirs.xml").data()["note"] == ""


@pytest.mark.parametrize(
    ("pdf", "says"),
    [
        (pdf_with(None), "only a picture"),
        (pdf_with(b"notes", name="notes.txt"), "only a picture"),
        (pdf_with(CII, password="sésame"), "locked with a password"),
        (pdf_with(b"<html/>"), "neither CII nor UBL"),
    ],
)
def test_a_pdf_without_a_readable_invoice_is_refused(pdf, says):
    with pytest.raises(ReceivedUnreadableError, match=says):
        check_received(pdf, "theirs.pdf")


def test_a_swollen_attachment_is_refused_and_the_next_file_is_read():
    swollen = pikepdf.new()
    swollen.add_blank_page()
    swollen.attachments["factur-x.xml"] = pikepdf.AttachedFileSpec(swollen, b" " * 90_000_000)
    written = io.BytesIO()
    swollen.save(written, compress_streams=True)

    with pytest.raises(ReceivedUnreadableError):
        check_received(written.getvalue(), "theirs.pdf")
    assert check_received(pdf_with(CII), "theirs.pdf").passed


def test_signs_and_references_are_read():
    read = read_xml(build_ubl(CREDITED), "x")
    discounted = read_xml(build_cii(DISCOUNTED), "x")

    assert read.references == (("FA-2026-0042", TWO_RATES.issued_on),)
    assert [one.amount for one in discounted.adjustments] == [D("-25.00"), D("12.50")]
    assert discounted.lines[0].taken_off == D("18.00")
    assert discounted.rounding == NOTHING
