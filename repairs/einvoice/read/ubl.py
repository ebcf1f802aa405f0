"""What stands in a UBL Invoice or CreditNote."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from repairs.einvoice.read.parsing import Part, vat_of
from repairs.einvoice.read.received import FiveTotals, ReadAmount, ReadInvoice, ReadLine
from repairs.einvoice.rules.rule_sets import UBL
from repairs.money import total

SUMS = "cac:LegalMonetaryTotal"
PARTY = "cac:Accounting{who}Party/cac:Party"
ONE = Decimal(1)


def read_ubl(root: Part, kind_of_root: str) -> ReadInvoice:
    """As stated in the file. Raises ReceivedUnreadableError when a number or a day is none."""
    credit = kind_of_root == "CreditNote"
    seller, buyer = PARTY.format(who="Supplier"), PARTY.format(who="Customer")
    return ReadInvoice(
        syntax=UBL,
        root=kind_of_root,
        guideline=root.text("cbc:CustomizationID"),
        kind=root.text("cbc:CreditNoteTypeCode" if credit else "cbc:InvoiceTypeCode"),
        number=root.text("cbc:ID"),
        issued_on=root.day("cbc:IssueDate"),
        due_on=root.day("cac:PaymentMeans/cbc:PaymentDueDate" if credit else "cbc:DueDate"),
        payment_terms=root.text("cac:PaymentTerms/cbc:Note"),
        currency=root.text("cbc:DocumentCurrencyCode"),
        seller=_name(root, seller),
        seller_country=_country(root, seller),
        buyer=_name(root, buyer),
        buyer_country=_country(root, buyer),
        references=tuple(
            (one.text("cbc:ID"), one.day("cbc:IssueDate"))
            for one in root.parts("cac:BillingReference/cac:InvoiceDocumentReference")
        ),
        lines=tuple(_lines(root, credit=credit)),
        adjustments=tuple(_adjustments(root)),
        groups=tuple(_groups(root)),
        prepaid=root.amount(f"{SUMS}/cbc:PrepaidAmount"),
        rounding=root.amount(f"{SUMS}/cbc:PayableRoundingAmount"),
        stated=_stated(root),
    )


def _name(root: Part, party: str) -> str:
    registered = root.text(f"{party}/cac:PartyLegalEntity/cbc:RegistrationName")
    return registered or root.text(f"{party}/cac:PartyName/cbc:Name")


def _country(root: Part, party: str) -> str:
    return root.text(f"{party}/cac:PostalAddress/cac:Country/cbc:IdentificationCode")


def _lines(root: Part, *, credit: bool) -> Iterator[ReadLine]:
    quantity = "cbc:CreditedQuantity" if credit else "cbc:InvoicedQuantity"
    for line in root.parts("cac:CreditNoteLine" if credit else "cac:InvoiceLine"):
        yield ReadLine(
            number=line.text("cbc:ID"),
            description=line.text("cac:Item/cbc:Name"),
            quantity=line.number(quantity),
            price=line.number("cac:Price/cbc:PriceAmount"),
            price_of=line.number("cac:Price/cbc:BaseQuantity") or ONE,
            taken_off=total(-_signed(one) for one in line.parts("cac:AllowanceCharge")),
            net=line.number("cbc:LineExtensionAmount"),
            category=line.text("cac:Item/cac:ClassifiedTaxCategory/cbc:ID"),
            rate_pct=line.amount("cac:Item/cac:ClassifiedTaxCategory/cbc:Percent"),
        )


def _signed(one: Part) -> Decimal:
    amount = one.amount("cbc:Amount")
    return amount if one.text("cbc:ChargeIndicator") in ("true", "1") else -amount


def _adjustments(root: Part) -> Iterator[ReadAmount]:
    for one in root.parts("cac:AllowanceCharge"):
        yield ReadAmount(
            category=one.text("cac:TaxCategory/cbc:ID"),
            rate_pct=one.amount("cac:TaxCategory/cbc:Percent"),
            amount=_signed(one),
        )


def _groups(root: Part) -> Iterator[ReadAmount]:
    for one in root.parts("cac:TaxTotal/cac:TaxSubtotal"):
        yield ReadAmount(
            category=one.text("cac:TaxCategory/cbc:ID"),
            rate_pct=one.amount("cac:TaxCategory/cbc:Percent"),
            amount=one.amount("cbc:TaxableAmount"),
            tax=one.number("cbc:TaxAmount"),
            reason=one.text("cac:TaxCategory/cbc:TaxExemptionReason"),
            reason_code=one.text("cac:TaxCategory/cbc:TaxExemptionReasonCode"),
        )


def _stated(root: Part) -> FiveTotals:
    return FiveTotals(
        lines_net=root.number(f"{SUMS}/cbc:LineExtensionAmount"),
        net=root.number(f"{SUMS}/cbc:TaxExclusiveAmount"),
        vat=vat_of(
            root.parts("cac:TaxTotal/cbc:TaxAmount"),
            currency=root.text("cbc:DocumentCurrencyCode"),
            sums=root.part(SUMS),
        ),
        gross=root.number(f"{SUMS}/cbc:TaxInclusiveAmount"),
        due=root.number(f"{SUMS}/cbc:PayableAmount"),
    )
