"""Seller and buyer in UBL: BG-4 and BG-7 of EN 16931, with address, numbers and contact."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from repairs.einvoice.document import InvoiceDoc, Party
from repairs.einvoice.write import terms
from repairs.einvoice.write.elements import Element, Maker
from repairs.law.numbers import tidy


@dataclass(frozen=True)
class PartyWriting:
    """One invoice that is being written, as far as it names who sells and who buys."""

    doc: InvoiceDoc
    el: Maker

    def seller(self) -> Iterator[Element | None]:
        """The seller (BG-4), with legal form (BT-33) and tax number (BT-32)."""
        seller = self.doc.seller
        number_ = terms.tax_number(seller, self.doc)
        yield from self.party(seller, legal_form=seller.legal_form, tax_number=number_)

    def party(
        self, party: Party, *, legal_form: str = "", tax_number: str = ""
    ) -> Iterator[Element | None]:
        """All of a party, in the order that the schema prescribes."""
        el = self.el
        if endpoint := terms.electronic_address(party):
            yield el("cbc:EndpointID", endpoint[0], schemeID=endpoint[1])
        yield el(
            "cac:PartyIdentification",
            el("cbc:ID", tidy(party.siret), schemeID=terms.SIRET_SCHEME),
        )
        if party.name != party.registered_name:
            yield el("cac:PartyName", el("cbc:Name", party.name))
        yield self.address("cac:PostalAddress", party)
        yield self.tax_scheme(terms.vat_identifier(party, self.doc), "VAT")
        yield self.tax_scheme(tax_number, "LOC")  # any but VAT tells that it is local
        identifier, scheme = terms.legal_identifier(party)
        yield el(
            "cac:PartyLegalEntity",
            el("cbc:RegistrationName", party.registered_name),
            el("cbc:CompanyID", identifier, **({"schemeID": scheme} if scheme else {})),
            el("cbc:CompanyLegalForm", legal_form),
        )
        yield el(
            "cac:Contact",
            el("cbc:Name", party.contact),
            el("cbc:Telephone", party.phone),
            el("cbc:ElectronicMail", party.email),
        )

    def address(self, name: str, party: Party) -> Element | None:
        """BG-5, BG-8 or BG-15; at most three lines, as the standard has no more."""
        el = self.el
        one, two, three = (*party.address, "", "", "")[:3]
        return el(
            name,
            el("cbc:StreetName", one),
            el("cbc:AdditionalStreetName", two),
            el("cbc:CityName", party.city),
            el("cbc:PostalZone", party.postcode),
            el("cac:AddressLine", el("cbc:Line", three)),
            el("cac:Country", el("cbc:IdentificationCode", party.country)),
        )

    def tax_scheme(self, identifier: str, scheme: str) -> Element | None:
        """A number under its scheme, VAT or local; None when there is no number."""
        el = self.el
        company = el("cbc:CompanyID", identifier)
        if company is None:
            return None
        return el("cac:PartyTaxScheme", company, el("cac:TaxScheme", el("cbc:ID", scheme)))
