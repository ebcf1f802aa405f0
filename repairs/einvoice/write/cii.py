"""An invoice in the CII syntax of EN 16931, as Factur-X wants it inside the PDF."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from decimal import Decimal

from repairs.einvoice.document import (
    OUTSIDE,
    TRANSFER,
    WITHIN_EU,
    Allowance,
    InvoiceDoc,
    Line,
    Preceding,
    TaxGroup,
    Totals,
)
from repairs.einvoice.totals import totals_of
from repairs.einvoice.write import terms
from repairs.einvoice.write.cii_parties import address, el, party, seller, taxes_of
from repairs.einvoice.write.elements import Element, as_bytes, money, number
from repairs.law.numbers import tidy

DAY_FORMAT = "102"


def build_cii(doc: InvoiceDoc) -> bytes:
    """The XML of the whole invoice; its totals are computed from the lines."""
    totals = totals_of(doc)
    return as_bytes(
        el(
            "rsm:CrossIndustryInvoice",
            _context(doc, totals),
            el(
                "rsm:ExchangedDocument",
                el("ram:ID", doc.number),
                el("ram:TypeCode", doc.kind),
                el("ram:IssueDateTime", _day(doc.issued_on)),
                *_notes(doc),
            ),
            el(
                "rsm:SupplyChainTradeTransaction",
                *(_line(line, net) for line, net in zip(doc.lines, totals.line_nets, strict=True)),
                _agreement(doc),
                _delivery(doc),
                _settlement(doc, totals),
            ),
        )
    )


def _context(doc: InvoiceDoc, totals: Totals) -> Element | None:
    business, guideline = (
        f"ram:{name}SpecifiedDocumentContextParameter" for name in ("BusinessProcess", "Guideline")
    )
    return el(
        "rsm:ExchangedDocumentContext",
        el(business, el("ram:ID", terms.framework(doc, totals))),
        el(guideline, el("ram:ID", terms.GUIDELINE)),
    )


def _day(day: dt.date | None, name: str = "udt:DateTimeString") -> Element | None:
    return el(name, day, format=DAY_FORMAT)


def _notes(doc: InvoiceDoc) -> Iterator[Element | None]:
    for note in terms.notes(doc):
        content = el("ram:Content", note.text)
        if content is not None:
            yield el("ram:IncludedNote", content, el("ram:SubjectCode", note.code))


def _line(line: Line, net: Decimal) -> Element | None:
    return el(
        "ram:IncludedSupplyChainTradeLineItem",
        # The schema of CII is a sequence: an element in the wrong place is a fault, as one that is
        # missing.
        el("ram:AssociatedDocumentLineDocument", el("ram:LineID", line.number)),
        el(
            "ram:SpecifiedTradeProduct",
            el("ram:Name", line.description),
            el("ram:Description", line.details),
        ),
        el(
            "ram:SpecifiedLineTradeAgreement",
            el("ram:NetPriceProductTradePrice", el("ram:ChargeAmount", number(line.unit_price))),
        ),
        el(
            "ram:SpecifiedLineTradeDelivery",
            el("ram:BilledQuantity", number(line.quantity), unitCode=line.unit),
        ),
        el(
            "ram:SpecifiedLineTradeSettlement",
            el("ram:ApplicableTradeTax", *_tax(line.category, line.rate_pct)),
            _line_discount(line),
            el(
                "ram:SpecifiedTradeSettlementLineMonetarySummation",
                el("ram:LineTotalAmount", money(net)),
            ),
        ),
    )


def _tax(category: str, rate_pct: Decimal) -> tuple[Element | None, ...]:
    """Outside the scope of VAT there is no rate, not even zero (BR-O-05)."""
    # Category O has no rate, not even zero (BR-O-5): there is no tax that could be nought.
    rate = "" if category == OUTSIDE else number(rate_pct)
    return (
        el("ram:TypeCode", "VAT"),
        el("ram:CategoryCode", category),
        el("ram:RateApplicablePercent", rate),
    )


def _line_discount(line: Line) -> Element | None:
    if not line.discount:
        return None
    return el(
        "ram:SpecifiedTradeAllowanceCharge",
        el("ram:ChargeIndicator", el("udt:Indicator", "false")),
        el("ram:ActualAmount", money(line.discount)),
        el("ram:ReasonCode", terms.DISCOUNT_CODE),
        el("ram:Reason", line.discount_reason),
    )


def _agreement(doc: InvoiceDoc) -> Element | None:
    return el(
        "ram:ApplicableHeaderTradeAgreement",
        el("ram:BuyerReference", doc.buyer_reference),
        el("ram:SellerTradeParty", *seller(doc)),
        el("ram:BuyerTradeParty", *party(doc.buyer, doc), *taxes_of(doc.buyer, doc, "")),
        el(
            "ram:BuyerOrderReferencedDocument",
            el("ram:IssuerAssignedID", doc.order_reference),
        ),
    )


def _delivery(doc: InvoiceDoc) -> Element | None:
    """When, and where it must be said (BR-IC-12) or nothing else can be: it may not be empty."""
    goes_to = None
    # BR-IC-12 wants the country of arrival of goods sent to another member state; CII also wants
    # something inside the element when no day of delivery is said.
    if WITHIN_EU in doc.categories or not doc.delivery_on:
        goes_to = el("ram:ShipToTradeParty", el("ram:Name", doc.buyer.name), address(doc.buyer))
    return el(
        "ram:ApplicableHeaderTradeDelivery",
        goes_to,
        el(
            "ram:ActualDeliverySupplyChainEvent",
            el("ram:OccurrenceDateTime", _day(doc.delivery_on)),
        ),
    )


def _settlement(doc: InvoiceDoc, totals: Totals) -> Element | None:
    return el(
        "ram:ApplicableHeaderTradeSettlement",
        # BT-83: the client's bank gives it back with the money, and the payment finds its invoice.
        el("ram:PaymentReference", doc.number),
        el("ram:InvoiceCurrencyCode", doc.currency),
        _payment(doc),
        *(_group(group, doc) for group in totals.groups),
        *(_allowance(one) for one in doc.allowances),
        el(
            "ram:SpecifiedTradePaymentTerms",
            el("ram:Description", doc.payment_terms),
            el("ram:DueDateDateTime", _day(doc.due_on)),
        ),
        _sums(totals, doc.currency),
        *(_reference(one) for one in doc.references),
    )


def _payment(doc: InvoiceDoc) -> Element | None:
    seller = doc.seller
    account = institution = None
    if seller.iban and doc.payment_means == TRANSFER:
        account = el(
            "ram:PayeePartyCreditorFinancialAccount",
            el("ram:IBANID", tidy(seller.iban)),
            el("ram:AccountName", seller.registered_name),
        )
        institution = el(
            "ram:PayeeSpecifiedCreditorFinancialInstitution", el("ram:BICID", seller.bic)
        )
    return el(
        "ram:SpecifiedTradeSettlementPaymentMeans",
        el("ram:TypeCode", doc.payment_means),
        account,
        institution,
    )


def _group(group: TaxGroup, doc: InvoiceDoc) -> Element | None:
    exemption = doc.exemption(group.category)
    vat, category, rate = _tax(group.category, group.rate_pct)
    return el(
        "ram:ApplicableTradeTax",
        el("ram:CalculatedAmount", money(group.tax)),
        vat,
        el("ram:ExemptionReason", exemption.text if exemption else ""),
        el("ram:BasisAmount", money(group.base)),
        category,
        el("ram:ExemptionReasonCode", exemption.code if exemption else ""),
        rate,
    )


def _allowance(one: Allowance) -> Element | None:
    return el(
        "ram:SpecifiedTradeAllowanceCharge",
        el("ram:ChargeIndicator", el("udt:Indicator", "true" if one.is_charge else "false")),
        el("ram:ActualAmount", money(one.amount)),
        el("ram:ReasonCode", terms.CHARGE_CODE if one.is_charge else terms.DISCOUNT_CODE),
        el("ram:Reason", one.reason),
        el("ram:CategoryTradeTax", *_tax(one.category, one.rate_pct)),
    )


def _sums(totals: Totals, currency: str) -> Element | None:
    return el(
        "ram:SpecifiedTradeSettlementHeaderMonetarySummation",
        el("ram:LineTotalAmount", money(totals.lines_net)),
        el("ram:ChargeTotalAmount", money(totals.charges)),
        el("ram:AllowanceTotalAmount", money(totals.allowances)),
        el("ram:TaxBasisTotalAmount", money(totals.net)),
        el("ram:TaxTotalAmount", money(totals.vat), currencyID=currency),
        el("ram:GrandTotalAmount", money(totals.gross)),
        el("ram:TotalPrepaidAmount", money(totals.prepaid)),
        el("ram:DuePayableAmount", money(totals.due)),
    )


def _reference(named: Preceding) -> Element | None:
    return el(
        "ram:InvoiceReferencedDocument",
        el("ram:IssuerAssignedID", named.number),
        el("ram:FormattedIssueDateTime", _day(named.issued_on, "qdt:DateTimeString")),
    )
