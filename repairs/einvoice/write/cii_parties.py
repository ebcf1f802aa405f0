"""Seller and buyer in CII: BG-4 and BG-7 of EN 16931, with address, numbers and contact."""

from __future__ import annotations

from collections.abc import Iterator

from repairs.einvoice.document import InvoiceDoc, Party
from repairs.einvoice.write import terms
from repairs.einvoice.write.elements import CII_DAY, Element, Maker
from repairs.law.numbers import tidy

NAMESPACES = {
    "rsm": "urn:un:unece:uncefact:data:standard:CrossIndustryInvoice:100",
    "ram": "urn:un:unece:uncefact:data:standard:ReusableAggregateBusinessInformationEntity:100",
    "udt": "urn:un:unece:uncefact:data:standard:UnqualifiedDataType:100",
    "qdt": "urn:un:unece:uncefact:data:standard:QualifiedDataType:100",
}
el = Maker(NAMESPACES, CII_DAY)


def seller(doc: InvoiceDoc) -> Iterator[Element | None]:
    """The seller (BG-4) with VAT number (BT-31) and tax number (BT-32)."""
    yield from party(doc.seller, doc, legal_form=doc.seller.legal_form)
    yield from taxes_of(doc.seller, doc, terms.tax_number(doc.seller, doc))


def party(party: Party, doc: InvoiceDoc, *, legal_form: str = "") -> Iterator[Element | None]:
    """All of a party but its tax numbers, in the order that the schema prescribes."""
    yield el("ram:GlobalID", tidy(party.siret), schemeID=terms.SIRET_SCHEME)
    yield el("ram:Name", party.registered_name)
    yield el("ram:Description", legal_form)
    identifier, scheme = terms.legal_identifier(party)
    trading = party.name if party.name != party.registered_name else ""
    yield el(
        "ram:SpecifiedLegalOrganization",
        el("ram:ID", identifier, **({"schemeID": scheme} if scheme else {})),
        el("ram:TradingBusinessName", trading),
    )
    yield el(
        "ram:DefinedTradeContact",
        el("ram:PersonName", party.contact),
        el("ram:TelephoneUniversalCommunication", el("ram:CompleteNumber", party.phone)),
        el("ram:EmailURIUniversalCommunication", el("ram:URIID", party.email)),
    )
    yield address(party)
    if endpoint := terms.electronic_address(party):
        yield el(
            "ram:URIUniversalCommunication", el("ram:URIID", endpoint[0], schemeID=endpoint[1])
        )


def address(party: Party) -> Element | None:
    """BG-5 or BG-8; at most three lines, as the standard has no more."""
    one, two, three = (*party.address, "", "", "")[:3]
    return el(
        "ram:PostalTradeAddress",
        el("ram:PostcodeCode", party.postcode),
        el("ram:LineOne", one),
        el("ram:LineTwo", two),
        el("ram:LineThree", three),
        el("ram:CityName", party.city),
        el("ram:CountryID", party.country),
    )


def taxes_of(party: Party, doc: InvoiceDoc, tax_number: str) -> Iterator[Element | None]:
    """VAT number under “VA” and tax number under “FC” (BT-31, BT-48, BT-32)."""
    yield el(
        "ram:SpecifiedTaxRegistration",
        el("ram:ID", terms.vat_identifier(party, doc), schemeID="VA"),
    )
    yield el("ram:SpecifiedTaxRegistration", el("ram:ID", tax_number, schemeID="FC"))
