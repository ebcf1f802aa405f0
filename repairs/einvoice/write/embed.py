"""An e-invoice enclosed in its paper, as Factur-X prescribes: name, relationship and metadata."""

from __future__ import annotations

import dataclasses

from repairs.press.document import Enclosure, Sheet
from repairs.press.xmp import Claim, Schema

FILE_NAME = "factur-x.xml"
FACTUR_X = Schema(
    "Factur-X PDFA Extension Schema",
    "urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#",
    "fx",
    (
        Claim("DocumentFileName", FILE_NAME, "name of the embedded XML invoice file"),
        Claim("DocumentType", "INVOICE", "INVOICE"),
        Claim("Version", "1.0", "version of the Factur-X XML schema"),
        Claim("ConformanceLevel", "EN 16931", "conformance level of the embedded data"),
    ),
)


def with_einvoice(sheet: Sheet, xml: bytes) -> Sheet:
    """The same paper with the CII file inside it, saying the same as its pages."""
    enclosure = Enclosure(
        name=FILE_NAME,
        content=xml,
        description="Factur-X, EN 16931",
        # Factur-X: “Alternative” where the XML tells the same as the pages; “Data” is for its
        # profiles that are no invoice by themselves (recalled).
        relationship="Alternative",
    )
    return dataclasses.replace(
        sheet, enclosures=(*sheet.enclosures, enclosure), claims=(*sheet.claims, FACTUR_X)
    )
