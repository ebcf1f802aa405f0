"""The PDF of an invoice carries the very XML that was checked, and says so in every place."""

from __future__ import annotations

import dataclasses
import datetime as dt
import io

import pikepdf
import pytest

from repairs.einvoice.check.pdf import pdf_faults
from repairs.einvoice.read.read import read_xml, xml_of
from repairs.einvoice.write.cii import build_cii
from repairs.einvoice.write.embed import with_einvoice
from repairs.press.document import HouseBlock, Sheet
from repairs.press.render import render
from tests.einvoice.samples import TWO_RATES
from tests.outside.verapdf import validate

pytestmark = pytest.mark.real_press

MOMENT = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)
XML = build_cii(TWO_RATES)


@dataclasses.dataclass(frozen=True, kw_only=True)
class Body:
    case_number: str = "2026-001"
    instrument: str = "wheel fiddle"
    instrument_number: str = "I-0001"
    owner: str = "Garance Ollivant"
    received_on: str = "25 November 2026"
    address: str = "http://127.0.0.1:8000/cases/2026-001/"


@pytest.fixture(scope="module")
def sheet() -> Sheet:
    house = HouseBlock(name="Atelier", trade="", address=(), email="", phone="", registration="")
    plain = Sheet(
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
    return with_einvoice(plain, XML)


@pytest.fixture(scope="module")
def pdf(sheet) -> bytes:
    return render(sheet)[0]


def tampered(pdf: bytes, change) -> bytes:
    written = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as file:
        change(file)
        file.save(written, deterministic_id="/ID" not in file.trailer)
    return written.getvalue()


def filespec(file: pikepdf.Pdf) -> pikepdf.Object:
    return next(one for one in file.Root.AF if str(one.UF) == "factur-x.xml")


def test_nothing_is_wrong_with_ours(pdf):
    assert pdf_faults(pdf, XML) == []


def test_the_engine_of_verapdf_finds_nothing(pdf, tmp_path):
    path = tmp_path / "invoice.pdf"
    path.write_bytes(pdf)

    assert validate([path]) == {"invoice.pdf": {"3a": [], "ua1": []}}


def test_the_same_sheet_gives_the_same_bytes(sheet, pdf):
    assert render(sheet)[0] == pdf


def test_the_xml_comes_out_as_it_went_in(pdf):
    xml = xml_of(pdf, "invoice.pdf")

    assert xml == XML
    assert read_xml(xml, "invoice.pdf").number == "FA-2026-0042"


def test_a_plain_new_save_is_no_fault(pdf):
    assert pdf_faults(tampered(pdf, lambda _file: None), XML) == []


def test_another_xml_than_the_one_checked_is_a_fault(pdf):
    assert pdf_faults(pdf, XML + b" ") == ["factur-x.xml is not the file that was checked"]


def _wrong_relationship(file):
    filespec(file).AFRelationship = pikepdf.Name("/Data")


def _unlisted(file):
    file.Root.AF = pikepdf.Array([one for one in file.Root.AF if str(one.UF) != "factur-x.xml"])


def _listed_twice(file):
    file.Root.AF.append(filespec(file))


def _wrong_type(file):
    filespec(file).EF.F.Subtype = pikepdf.Name("/application/octet-stream")


def _no_language(file):
    del file.Root.Lang


def _no_structure(file):
    del file.Root.StructTreeRoot


def _no_profile(file):
    del file.Root.OutputIntents


def _no_font(file):
    for page in file.pages:
        for font in page.Resources.Font.values():
            del font.DescendantFonts[0].FontDescriptor.FontFile2


def _metadata(old: bytes, new: bytes):
    def change(file):
        said = file.Root.Metadata.read_bytes()
        assert old in said
        file.Root.Metadata.write(said.replace(old, new))

    return change


@pytest.mark.parametrize(
    "change",
    [
        _wrong_relationship,
        _unlisted,
        _listed_twice,
        _wrong_type,
        _no_language,
        _no_structure,
        _no_profile,
        _no_font,
        _metadata(b">EN 16931<", b">EN16931<"),
        _metadata(b"<fx:Version>1.0</fx:Version>", b""),
        _metadata(b"<pdfaProperty:name>Version<", b"<pdfaProperty:name>Vision<"),
        _metadata(b"<pdfuaid:part>1<", b"<pdfuaid:part>2<"),
        _metadata(b"</rdf:RDF>", b"</rdf:RDF><rdf:RDF></rdf:RDF>"),
    ],
)
def test_each_single_defect_is_a_fault(pdf, change):
    assert pdf_faults(tampered(pdf, change), XML)


@pytest.mark.parametrize("junk", [b"", b"%PDF-1.7\n", b"not a PDF at all"])
def test_junk_is_a_fault(junk):
    assert pdf_faults(junk, XML)
