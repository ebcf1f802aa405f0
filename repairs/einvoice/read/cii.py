"""What stands in a CII file."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from repairs.einvoice.read.parsing import Part, vat_of
from repairs.einvoice.read.received import FiveTotals, ReadAmount, ReadInvoice, ReadLine
from repairs.einvoice.rules.rule_sets import CII
from repairs.money import total

DEAL = "rsm:SupplyChainTradeTransaction"
SETTLED = f"{DEAL}/ram:ApplicableHeaderTradeSettlement"
AGREED = f"{DEAL}/ram:ApplicableHeaderTradeAgreement"
PAPER = "rsm:ExchangedDocument"
CONTEXT = "rsm:ExchangedDocumentContext"
SUMS = f"{SETTLED}/ram:SpecifiedTradeSettlementHeaderMonetarySummation"
TERMS = f"{SETTLED}/ram:SpecifiedTradePaymentTerms"
LINE_SETTLED = "ram:SpecifiedLineTradeSettlement"
PRICE = "ram:SpecifiedLineTradeAgreement/ram:NetPriceProductTradePrice"
ONE = Decimal(1)


def read_cii(root: Part) -> ReadInvoice:
    """As stated in the file. Raises ReceivedUnreadableError when a number or a day is none."""
    return ReadInvoice(
        syntax=CII,
        root="CrossIndustryInvoice",
        guideline=root.text(f"{CONTEXT}/ram:GuidelineSpecifiedDocumentContextParameter/ram:ID"),
        kind=root.text(f"{PAPER}/ram:TypeCode"),
        number=root.text(f"{PAPER}/ram:ID"),
        issued_on=root.day(f"{PAPER}/ram:IssueDateTime/udt:DateTimeString"),
        due_on=root.day(f"{TERMS}/ram:DueDateDateTime/udt:DateTimeString"),
        payment_terms=root.text(f"{TERMS}/ram:Description"),
        currency=root.text(f"{SETTLED}/ram:InvoiceCurrencyCode"),
        seller=root.text(f"{AGREED}/ram:SellerTradeParty/ram:Name"),
        seller_country=_country(root, "Seller"),
        buyer=root.text(f"{AGREED}/ram:BuyerTradeParty/ram:Name"),
        buyer_country=_country(root, "Buyer"),
        references=tuple(
            (
                one.text("ram:IssuerAssignedID"),
                one.day("ram:FormattedIssueDateTime/qdt:DateTimeString"),
            )
            for one in root.parts(f"{SETTLED}/ram:InvoiceReferencedDocument")
        ),
        lines=tuple(map(_line, root.parts(f"{DEAL}/ram:IncludedSupplyChainTradeLineItem"))),
        adjustments=tuple(_adjustments(root)),
        groups=tuple(map(_group, root.parts(f"{SETTLED}/ram:ApplicableTradeTax"))),
        prepaid=root.amount(f"{SUMS}/ram:TotalPrepaidAmount"),
        rounding=root.amount(f"{SUMS}/ram:RoundingAmount"),
        stated=_stated(root),
    )


def _country(root: Part, who: str) -> str:
    return root.text(f"{AGREED}/ram:{who}TradeParty/ram:PostalTradeAddress/ram:CountryID")


def _line(line: Part) -> ReadLine:
    return ReadLine(
        number=line.text("ram:AssociatedDocumentLineDocument/ram:LineID"),
        description=line.text("ram:SpecifiedTradeProduct/ram:Name"),
        quantity=line.number("ram:SpecifiedLineTradeDelivery/ram:BilledQuantity"),
        price=line.number(f"{PRICE}/ram:ChargeAmount"),
        price_of=line.number(f"{PRICE}/ram:BasisQuantity") or ONE,
        taken_off=total(
            -_signed(one) for one in line.parts(f"{LINE_SETTLED}/ram:SpecifiedTradeAllowanceCharge")
        ),
        net=line.number(
            f"{LINE_SETTLED}/ram:SpecifiedTradeSettlementLineMonetarySummation/ram:LineTotalAmount"
        ),
        category=line.text(f"{LINE_SETTLED}/ram:ApplicableTradeTax/ram:CategoryCode"),
        rate_pct=line.amount(f"{LINE_SETTLED}/ram:ApplicableTradeTax/ram:RateApplicablePercent"),
    )


def _signed(one: Part) -> Decimal:
    amount = one.amount("ram:ActualAmount")
    return amount if one.text("ram:ChargeIndicator/udt:Indicator") in ("true", "1") else -amount


def _adjustments(root: Part) -> Iterator[ReadAmount]:
    for one in root.parts(f"{SETTLED}/ram:SpecifiedTradeAllowanceCharge"):
        yield ReadAmount(
            category=one.text("ram:CategoryTradeTax/ram:CategoryCode"),
            rate_pct=one.amount("ram:CategoryTradeTax/ram:RateApplicablePercent"),
            amount=_signed(one),
        )


def _group(one: Part) -> ReadAmount:
    return ReadAmount(
        category=one.text("ram:CategoryCode"),
        rate_pct=one.amount("ram:RateApplicablePercent"),
        amount=one.amount("ram:BasisAmount"),
        tax=one.number("ram:CalculatedAmount"),
        reason=one.text("ram:ExemptionReason"),
        reason_code=one.text("ram:ExemptionReasonCode"),
    )


def _stated(root: Part) -> FiveTotals:
    return FiveTotals(
        lines_net=root.number(f"{SUMS}/ram:LineTotalAmount"),
        net=root.number(f"{SUMS}/ram:TaxBasisTotalAmount"),
        vat=vat_of(
            root.parts(f"{SUMS}/ram:TaxTotalAmount"),
            currency=root.text(f"{SETTLED}/ram:InvoiceCurrencyCode"),
            sums=root.part(SUMS),
        ),
        gross=root.number(f"{SUMS}/ram:GrandTotalAmount"),
        due=root.number(f"{SUMS}/ram:DuePayableAmount"),
    )
