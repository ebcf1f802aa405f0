"""What both syntaxes must say alike and no form asks for: addresses, schemes, framework, notes."""

from __future__ import annotations

from repairs.einvoice.document import DEPOSIT, OUTSIDE, InvoiceDoc, Note, Party, Totals
from repairs.law.numbers import tidy

GUIDELINE = "urn:cen.eu:en16931:2017"
SIREN_SCHEME, SIRET_SCHEME, FRENCH_ADDRESS, MAIL = "0002", "0009", "0225", "EM"
DISCOUNT_CODE, CHARGE_CODE = "95", "FC"  # UNTDID 5189 discount; UNTDID 7161 freight and other
VAT_SCHEMES = {
    "AT": "9914",
    "BE": "9925",
    "CH": "9927",
    "DE": "9930",
    "ES": "9920",
    "FR": "9957",
    "GB": "9932",
    "IT": "0211",
    "LU": "9938",
    "NL": "9944",
}
BUYER_TREATMENT, BETWEEN_BUSINESSES = "BAR", "B2B"


def electronic_address(party: Party) -> tuple[str, str] | None:
    """(address, scheme): their own, the SIREN in France, else the e-mail, else the VAT number."""
    if party.e_address:
        scheme, _colon, address = party.e_address.partition(":")
        return address, scheme
    # The French directory addresses a business by its SIREN under scheme 0225. Mail (EM) is last
    # but one: it reaches people, not programs.
    if party.siren:
        return tidy(party.siren), FRENCH_ADDRESS
    if party.email:
        return party.email, MAIL
    if party.vat_id and party.country in VAT_SCHEMES:
        return tidy(party.vat_id), VAT_SCHEMES[party.country]
    return None


def legal_identifier(party: Party) -> tuple[str, str]:
    """(number, scheme); the scheme is empty where none is certain."""
    return (tidy(party.siren), SIREN_SCHEME) if party.siren else (party.registration, "")


def vat_identifier(party: Party, doc: InvoiceDoc) -> str:
    """Outside the scope of VAT no VAT number may stand (BR-O-02)."""
    # BR-O-2 to BR-O-4: an invoice outside the scope of VAT names no VAT number, neither ours nor
    # theirs.
    return "" if OUTSIDE in doc.categories else tidy(party.vat_id)


def tax_number(party: Party, doc: InvoiceDoc) -> str:
    """A small business has no VAT number: its tax number stands, in France the SIREN."""
    if OUTSIDE in doc.categories:
        return ""
    return party.tax_number or ("" if party.vat_id else tidy(party.siren))


def framework(doc: InvoiceDoc, totals: Totals) -> str:
    """BT-23 as the French rules want it: 1 ordinary, 2 paid already (on the day when it was due),
    4 after a deposit invoice."""
    if doc.kind == DEPOSIT or doc.is_credit:
        return f"{doc.operation}1"
    # 4: final invoice after a deposit. The rule files forbid the 4 on a deposit invoice itself
    # (386), which is why that is asked first.
    if any(deposit.number for deposit in doc.deposits):
        return f"{doc.operation}4"
    if totals.prepaid and totals.due == 0 and doc.due_on:
        return f"{doc.operation}2"
    return f"{doc.operation}1"


def notes(doc: InvoiceDoc) -> tuple[Note, ...]:
    """Those of the invoice, and from a French seller the treatment of the buyer."""
    if doc.seller.country != "FR":
        return doc.notes
    return (*doc.notes, Note(code=BUYER_TREATMENT, text=treatment(doc.buyer)))


def treatment(buyer: Party) -> str:
    """How the French administration wants to hear of it; only B2B goes from firm to firm.

    A French institution without any number cannot be reached so (BR-FR-11): it is told as a
    private person is.
    """
    abroad = buyer.country != "FR"
    if buyer.is_business and (abroad or buyer.siren or buyer.vat_id):
        return "B2BINT" if abroad else BETWEEN_BUSINESSES
    return "B2CINT" if abroad else "B2C"
