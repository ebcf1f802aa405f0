"""A last look at the PDF of an invoice before it is kept: is it the e-invoice that it claims?

Our own rules of the house, stricter than PDF/A and no verdict on it: that is veraPDF's, in the
tests. It takes some hundredths of a second.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

from lxml import etree  # type: ignore[import-untyped]
from pypdf import PdfReader
from pypdf.errors import DependencyError, PyPdfError

from repairs.einvoice.write.embed import FACTUR_X, FILE_NAME

RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
PDFA, PDFUA = "http://www.aiim.org/pdfa/ns/id/", "http://www.aiim.org/pdfua/ns/id/"
UNREADABLE = (
    PyPdfError,
    DependencyError,
    etree.XMLSyntaxError,
    KeyError,
    ValueError,
    AttributeError,
)
SCHEMA, PROPERTY = "http://www.aiim.org/pdfa/ns/schema#", "http://www.aiim.org/pdfa/ns/property#"


def pdf_faults(pdf: bytes, xml: bytes) -> list[str]:
    """What is wrong with the file, in plain words; empty when it is as it must be."""
    try:
        reader = PdfReader(io.BytesIO(pdf))
        root: Any = reader.trailer["/Root"]
        return [*_structure(reader, root), *_enclosed(root, xml), *_metadata(root)]
    except UNREADABLE as fault:
        return [f"the file cannot be read: {type(fault).__name__}: {fault}"]


def _structure(reader: PdfReader, root: Any) -> Iterator[str]:
    """Marked, in a language, with a colour profile, an identifier, and every font inside."""
    if reader.is_encrypted or "/ID" not in reader.trailer:
        yield "no identifier, or encrypted"
    if not _is_yes(root, "/MarkInfo", "/Marked") or "/StructTreeRoot" not in root:
        yield "not tagged"
    if not root.get("/Lang"):
        yield "no language"
    if not _is_yes(root, "/ViewerPreferences", "/DisplayDocTitle"):
        yield "the title is not shown"
    intents = root.get("/OutputIntents", [])
    if len(intents) != 1 or "/DestOutputProfile" not in intents[0].get_object():
        yield "no colour profile"
    fonts = {font for page in reader.pages for font in _fonts(page)}
    if not fonts or not all(embedded for _name, embedded in fonts):
        yield f"a font is not embedded: {sorted(name for name, ok in fonts if not ok)}"


def _is_yes(root: Any, group: str, name: str) -> bool:
    """pypdf takes the object of “false” for true, so its value is asked."""
    return bool(getattr(root.get(group, {}).get(name), "value", False))


def _fonts(page: Any) -> Iterator[tuple[str, bool]]:
    for font in page["/Resources"].get("/Font", {}).values():
        font = font.get_object()
        inner = font.get("/DescendantFonts", [font])[0].get_object()
        descriptor = inner.get("/FontDescriptor", {}).get_object()
        files = {"/FontFile", "/FontFile2", "/FontFile3"}
        yield str(font.get("/BaseFont")), bool(files & set(descriptor))


def _enclosed(root: Any, xml: bytes) -> Iterator[str]:
    """Listed once as associated and once by name; an alternative; the very bytes checked."""
    names = root.get("/Names", {}).get("/EmbeddedFiles", {}).get("/Names", [])
    by_name = {str(names[i]): names[i + 1].get_object() for i in range(0, len(names), 2)}
    listed = [one.get_object() for one in root.get("/AF", [])]
    mine = [one for one in listed if one.get("/UF") == FILE_NAME]
    if len(mine) != 1 or len(listed) != len(by_name) or list(by_name) != sorted(by_name):
        yield f"{FILE_NAME} is enclosed {len(mine)} times, {len(listed)} files in all"
        return
    one, file = mine[0], mine[0]["/EF"]["/F"].get_object()
    if one.get("/F") != FILE_NAME or by_name.get(FILE_NAME) != one:
        yield f"{FILE_NAME} is not found by its name"
    if one.get("/AFRelationship") != "/Alternative":
        yield f"{FILE_NAME} is {one.get('/AFRelationship')}, not an alternative"
    if file.get("/Subtype") != "/text/xml" or "/ModDate" not in file.get("/Params", {}):
        yield f"{FILE_NAME} has a wrong type or no date"
    if file.get_data() != xml:
        yield f"{FILE_NAME} is not the file that was checked"


def _metadata(root: Any) -> Iterator[str]:
    """One RDF only, which claims PDF/A-3a, PDF/UA-1 and Factur-X, and declares what it adds."""
    tree = etree.fromstring(root["/Metadata"].get_data())
    if len(list(tree.iter(f"{{{RDF}}}RDF"))) != 1:
        yield "the metadata have not exactly one RDF"
    claims = {
        (PDFA, "part"): "3",
        (PDFA, "conformance"): "A",
        (PDFUA, "part"): "1",
        **{(FACTUR_X.namespace, claim.name): claim.value for claim in FACTUR_X.claims},
    }
    for (namespace, name), value in claims.items():
        if (said := _value(tree, namespace, name)) != value:
            yield f"the metadata say {name} {said!r}, not {value!r}"
    if _declared(tree) != {claim.name for claim in FACTUR_X.claims}:
        yield "the metadata do not declare the properties of Factur-X"


def _value(tree: Any, namespace: str, name: str) -> str:
    """Written as an element or as an attribute."""
    tag = f"{{{namespace}}}{name}"
    for element in tree.iter(tag):
        return (element.text or "").strip()
    for description in tree.iter(f"{{{RDF}}}Description"):
        if tag in description.attrib:
            return str(description.get(tag))
    return ""


def _declared(tree: Any) -> set[str]:
    for schema in tree.iter(f"{{{RDF}}}li"):
        if schema.findtext(f"{{{SCHEMA}}}namespaceURI") == FACTUR_X.namespace:
            return {element.text or "" for element in schema.iter(f"{{{PROPERTY}}}name")}
    return set()
