"""What is wrong with the PDF of an invoice, fault by fault; a small file is built for it here."""

from __future__ import annotations

import io
from collections.abc import Callable
from importlib.util import find_spec
from typing import Any

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, String

from repairs.einvoice.check.pdf import pdf_faults

XML = b"<invoice/>"
CLAIMS = (
    ("DocumentFileName", "factur-x.xml"),
    ("DocumentType", "INVOICE"),
    ("Version", "1.0"),
    ("ConformanceLevel", "EN 16931"),
)
FX = "urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#"
XMP = f"""<x xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"
 xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/"
 xmlns:s="http://www.aiim.org/pdfa/ns/schema#" xmlns:p="http://www.aiim.org/pdfa/ns/property#"
 xmlns:fx="{FX}"><rdf:RDF><rdf:Description pdfaid:part="3"/><rdf:Description
 pdfaid:conformance="A"><pdfuaid:part> 1 </pdfuaid:part>
 {"".join(f"<fx:{name}>{value}</fx:{name}>" for name, value in CLAIMS)}
 <rdf:li><s:namespaceURI>another</s:namespaceURI><p:name>Other</p:name></rdf:li>
 <rdf:li><s:namespaceURI>{FX}</s:namespaceURI>
 {"".join(f"<p:name>{name}</p:name>" for name, _value in CLAIMS)}</rdf:li>
 </rdf:Description></rdf:RDF></x>"""
Change = Callable[[pikepdf.Pdf], object]


def _enclosed(pdf: pikepdf.Pdf, name: str, data: bytes) -> pikepdf.Object:
    file = pdf.make_stream(data, Subtype=Name("/text/xml"), Params=Dictionary(ModDate="D:2026"))
    spec = Dictionary(F=name, UF=name, EF=Dictionary(F=file), AFRelationship=Name("/Alternative"))
    return pdf.make_indirect(spec)


def _font(pdf: pikepdf.Pdf, name: str, file: str = "/FontFile2") -> pikepdf.Object:
    descriptor = Dictionary({file: pdf.make_stream(b"glyphs")})
    inner = pdf.make_indirect(Dictionary(FontDescriptor=pdf.make_indirect(descriptor)))
    return pdf.make_indirect(Dictionary(BaseFont=Name(name), DescendantFonts=Array([inner])))


def built(change: Change = lambda _pdf: None, *, identified: bool = True, lock: Any = 0) -> bytes:
    pdf = pikepdf.new()
    page = pdf.add_blank_page()
    page.Resources = Dictionary(Font=Dictionary(A=_font(pdf, "/Serif"), B=_font(pdf, "/Sans")))
    root = pdf.Root
    root.MarkInfo, root.StructTreeRoot = Dictionary(Marked=True), Dictionary()
    root.Lang, root.ViewerPreferences = String("fr"), Dictionary(DisplayDocTitle=True)
    profile = Dictionary(DestOutputProfile=pdf.make_stream(b"icc"))
    root.OutputIntents = Array([pdf.make_indirect(profile)])
    other, ours = _enclosed(pdf, "data.json", b"{}"), _enclosed(pdf, "factur-x.xml", XML)
    root.Names = Dictionary(
        EmbeddedFiles=Dictionary(Names=Array(["data.json", other, "factur-x.xml", ours]))
    )
    root.AF = Array([other, ours])
    root.Metadata = pdf.make_stream(XMP.encode())
    change(pdf)
    written = io.BytesIO()
    locked: Any = False
    if lock:
        locked = pikepdf.Encryption(owner="o", user="", R=lock, aes=lock > 3, metadata=lock > 3)
    pdf.save(written, fix_metadata_version=False, deterministic_id=not lock, encryption=locked)
    data = written.getvalue()
    return data if identified else data.replace(b"/ID", b"/XX")


def test_the_small_file_is_as_it_must_be():
    assert pdf_faults(built(), XML) == []


def ours(pdf: pikepdf.Pdf) -> pikepdf.Object:
    return pdf.Root.AF[1]


def names(pdf: pikepdf.Pdf) -> pikepdf.Object:
    return pdf.Root.Names.EmbeddedFiles.Names


def put(owner: Callable[[pikepdf.Pdf], pikepdf.Object], key: str, value: object = None) -> Change:
    """Give the object that value, or take the key away."""

    def change(pdf: pikepdf.Pdf) -> None:
        if value is None:
            del owner(pdf)[key]
        else:
            owner(pdf)[key] = value

    return change


def said(old: str, new: str) -> Change:
    assert old in XMP
    return lambda pdf: pdf.Root.Metadata.write(XMP.replace(old, new, 1).encode())


def root(pdf: pikepdf.Pdf) -> pikepdf.Object:
    return pdf.Root


def _bare_font(pdf: pikepdf.Pdf) -> None:
    del pdf.pages[0].Resources.Font.B.DescendantFonts[0].FontDescriptor["/FontFile2"]


def _plain_font(pdf: pikepdf.Pdf) -> None:
    """A font without descendants holds its file itself."""
    font = Dictionary(
        BaseFont=Name("/Plain"), FontDescriptor=Dictionary(FontFile3=pdf.make_stream(b"x"))
    )
    pdf.pages[0].Resources.Font.B = font


@pytest.mark.parametrize("change", [_plain_font, said("> 1 <", ">1<")])
def test_what_may_be_otherwise_is_no_fault(change):
    assert pdf_faults(built(change), XML) == []


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (put(root, "/MarkInfo"), "not tagged"),
        (put(root, "/MarkInfo", Dictionary(Marked=False)), "not tagged"),
        (put(root, "/StructTreeRoot"), "not tagged"),
        (put(root, "/Lang"), "no language"),
        (put(root, "/ViewerPreferences"), "the title is not shown"),
        (
            put(root, "/ViewerPreferences", Dictionary(DisplayDocTitle=False)),
            "the title is not shown",
        ),
        (put(root, "/OutputIntents"), "no colour profile"),
        (put(root, "/OutputIntents", Array([Dictionary(S=Name("/X"))])), "no colour profile"),
        (
            lambda pdf: pdf.Root.OutputIntents.append(pdf.Root.OutputIntents[0]),
            "no colour profile",
        ),
        (_bare_font, "a font is not embedded: ['/Sans']"),
        (lambda pdf: pdf.pages[0].Resources.__delitem__("/Font"), "a font is not embedded: []"),
    ],
)
def test_a_fault_of_the_pages_is_named_alone(change, fault):
    assert pdf_faults(built(change), XML) == [fault]


def test_a_file_without_an_identifier_or_locked_is_told():
    assert pdf_faults(built(identified=False), XML) == ["no identifier, or encrypted"]
    assert pdf_faults(built(lock=3), XML) == ["no identifier, or encrypted"]
    [told] = pdf_faults(built(lock=4), XML)  # with AES, which one more library could open
    can_open = find_spec("cryptography") is not None
    assert told.startswith(
        "no identifier, or encrypted" if can_open else "the file cannot be read: "
    )


def _swapped(pdf: pikepdf.Pdf) -> None:
    first, second = names(pdf)[1], names(pdf)[3]
    pdf.Root.Names.EmbeddedFiles.Names = Array(["factur-x.xml", second, "data.json", first])


def _another_of_that_name(pdf: pikepdf.Pdf) -> None:
    names(pdf)[3] = _enclosed(pdf, "factur-x.xml", b"<other/>")


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (lambda pdf: pdf.Root.AF.append(ours(pdf)), "enclosed 2 times, 3 files in all"),
        (lambda pdf: pdf.Root.AF.__delitem__(1), "enclosed 0 times, 1 files in all"),
        (lambda pdf: pdf.Root.AF.__delitem__(0), "enclosed 1 times, 1 files in all"),
        (put(root, "/AF"), "enclosed 0 times, 0 files in all"),
        (_swapped, "enclosed 1 times, 2 files in all"),
        (_another_of_that_name, "is not found by its name"),
        (put(ours, "/F", String("other.xml")), "is not found by its name"),
        (put(ours, "/AFRelationship", Name("/Data")), "is /Data, not an alternative"),
        (
            put(lambda pdf: ours(pdf).EF.F, "/Subtype", Name("/application/json")),
            "has a wrong type or no date",
        ),
        (put(lambda pdf: ours(pdf).EF.F, "/Params"), "has a wrong type or no date"),
    ],
)
def test_a_fault_of_the_enclosed_file_is_named_alone(change, fault):
    assert pdf_faults(built(change), XML) == [f"factur-x.xml {fault}"] or pdf_faults(
        built(change), XML
    ) == [f"factur-x.xml is {fault}"]


def test_another_content_is_named():
    assert pdf_faults(built(), b"<other/>") == ["factur-x.xml is not the file that was checked"]


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("</rdf:RDF>", "</rdf:RDF><rdf:RDF/>", "the metadata have not exactly one RDF"),
        ('part="3"', 'part="2"', "the metadata say part '2', not '3'"),
        ('conformance="A"', 'conformance="B"', "the metadata say conformance 'B', not 'A'"),
        ("<pdfuaid:part> 1 </pdfuaid:part>", "", "the metadata say part '', not '1'"),
        (">1.0<", "><", "the metadata say Version '', not '1.0'"),
        (
            "<p:name>Version</p:name>",
            "<p:name/>",
            "the metadata do not declare the properties of Factur-X",
        ),
        (
            f"<s:namespaceURI>{FX}",
            "<s:namespaceURI>x",
            "the metadata do not declare the properties of Factur-X",
        ),
    ],
)
def test_a_fault_of_the_metadata_is_named_alone(old, new, fault):
    assert pdf_faults(built(said(old, new)), XML) == [fault]


@pytest.mark.parametrize(
    ("junk", "fault"),
    [
        (b"", "the file cannot be read: "),
        (b"%PDF-1.7\n", "the file cannot be read: "),
        (built(put(root, "/Metadata")), "the file cannot be read: KeyError: "),
        (built(lambda pdf: pdf.Root.Metadata.write(b"<")), "the file cannot be read: XMLSyntax"),
    ],
)
def test_what_cannot_be_read_is_one_fault(junk, fault):
    [found] = pdf_faults(junk, XML)

    assert found.startswith(fault)
