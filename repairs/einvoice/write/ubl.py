"""An invoice in UBL 2.1, for clients who ask for it: an Invoice, or a CreditNote for a 381."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from repairs.einvoice.document import (
    OUTSIDE,
    TRANSFER,
    WITHIN_EU,
    Allowance,
    Exemption,
    InvoiceDoc,
    Line,
    Preceding,
    Totals,
)
from repairs.einvoice.totals import totals_of
from repairs.einvoice.write import terms
from repairs.einvoice.write.elements import UBL_DAY, Element, Maker, as_bytes, money, number
from repairs.einvoice.write.ubl_parties import PartyWriting
from repairs.law.numbers import tidy

COMMON = {
    "cac": "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2",
    "cbc": "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2",
}
INVOICE_ROOT = "urn:oasis:names:specification:ubl:schema:xsd:Invoice-2"
CREDIT_ROOT = "urn:oasis:names:specification:ubl:schema:xsd:CreditNote-2"
# “#PMT#” written by a person into a note would be read as the code of a legal mention.
LIKE_A_CODE = re.compile(r"#(?=[A-Z]{3}#)")


def build_ubl(doc: InvoiceDoc) -> bytes:
    """The XML of the whole invoice; its totals are computed from the lines."""
    root = CREDIT_ROOT if doc.is_credit else INVOICE_ROOT
    writing = _Writing(doc, Maker({"": root, **COMMON}, UBL_DAY), totals_of(doc))
    return as_bytes(writing.root())


@dataclass(frozen=True)
class _Writing(PartyWriting):
    totals: Totals

    def root(self) -> Element | None:
        doc, el, credit = self.doc, self.el, self.doc.is_credit
        return el(
            ":CreditNote" if credit else ":Invoice",
            el("cbc:CustomizationID", terms.GUIDELINE),
            el("cbc:ProfileID", terms.framework(doc, self.totals)),
            el("cbc:ID", doc.number),
            el("cbc:IssueDate", doc.issued_on),
            None if credit else el("cbc:DueDate", doc.due_on),
            el("cbc:CreditNoteTypeCode" if credit else "cbc:InvoiceTypeCode", doc.kind),
            *self.notes(),
            el("cbc:DocumentCurrencyCode", doc.currency),
            el("cbc:BuyerReference", doc.buyer_reference),
            el("cac:OrderReference", el("cbc:ID", doc.order_reference)),
            *(self.reference(one) for one in doc.references),
            el("cac:AccountingSupplierParty", el("cac:Party", *self.seller())),
            el("cac:AccountingCustomerParty", el("cac:Party", *self.party(doc.buyer))),
            self.delivery(),
            self.payment(),
            el("cac:PaymentTerms", el("cbc:Note", doc.payment_terms)),
            *(self.allowance(one) for one in doc.allowances),
            self.taxes(),
            self.sums(),
            *(self.line(*pair) for pair in zip(doc.lines, self.totals.line_nets, strict=True)),
        )

    def amount(self, name: str, value: Decimal) -> Element | None:
        """A sum with the currency that UBL wants on each of them."""
        return self.el(name, money(value), currencyID=self.doc.currency)

    def notes(self) -> Iterator[Element | None]:
        """UBL has no field for the code of a note, so it stands before the text; what looks like
        a code inside the text must not be taken for one."""
        for note in terms.notes(self.doc):
            text = LIKE_A_CODE.sub("", note.text).strip()
            if text:
                yield self.el("cbc:Note", f"#{note.code}#{text}" if note.code else text)

    def reference(self, named: Preceding) -> Element | None:
        """The invoice that is corrected (BG-3)."""
        el = self.el
        return el(
            "cac:BillingReference",
            el(
                "cac:InvoiceDocumentReference",
                el("cbc:ID", named.number),
                el("cbc:IssueDate", named.issued_on),
            ),
        )

    def delivery(self) -> Element | None:
        """The day of supply (BT-72), and where the goods arrive when they cross a border."""
        el, doc = self.el, self.doc
        location = party = None
        if WITHIN_EU in doc.categories:  # BR-IC-12: the country of arrival must be said
            location = el("cac:DeliveryLocation", self.address("cac:Address", doc.buyer))
            party = el("cac:DeliveryParty", el("cac:PartyName", el("cbc:Name", doc.buyer.name)))
        day = el("cbc:ActualDeliveryDate", doc.delivery_on)
        return el("cac:Delivery", day, location, party)

    def payment(self) -> Element | None:
        """How it is to be paid (BG-16), the account only for a transfer."""
        el, seller, doc = self.el, self.doc.seller, self.doc
        account = None
        if seller.iban and doc.payment_means == TRANSFER:
            account = el(
                "cac:PayeeFinancialAccount",
                el("cbc:ID", tidy(seller.iban)),
                el("cbc:Name", seller.registered_name),
                el("cac:FinancialInstitutionBranch", el("cbc:ID", seller.bic)),
            )
        return el(
            "cac:PaymentMeans",
            el("cbc:PaymentMeansCode", doc.payment_means),
            # A UBL credit note has no due date of its own, so that its day stands with the means of
            # payment.
            el("cbc:PaymentDueDate", doc.due_on) if doc.is_credit else None,
            el("cbc:PaymentID", doc.number),
            account,
        )

    def category(
        self, name: str, category: str, rate_pct: Decimal, exemption: Exemption | None = None
    ) -> Element | None:
        """Outside the scope of VAT there is no rate, not even zero (BR-O-05)."""
        el = self.el
        return el(
            name,
            el("cbc:ID", category),
            None if category == OUTSIDE else el("cbc:Percent", number(rate_pct)),
            el("cbc:TaxExemptionReasonCode", exemption.code) if exemption else None,
            el("cbc:TaxExemptionReason", exemption.text) if exemption else None,
            el("cac:TaxScheme", el("cbc:ID", "VAT")),
        )

    def allowance(self, one: Allowance) -> Element | None:
        """A discount or a charge on the whole document (BG-20, BG-21)."""
        el = self.el
        return el(
            "cac:AllowanceCharge",
            el("cbc:ChargeIndicator", "true" if one.is_charge else "false"),
            el(
                "cbc:AllowanceChargeReasonCode",
                terms.CHARGE_CODE if one.is_charge else terms.DISCOUNT_CODE,
            ),
            el("cbc:AllowanceChargeReason", one.reason),
            self.amount("cbc:Amount", one.amount),
            self.category("cac:TaxCategory", one.category, one.rate_pct),
        )

    def taxes(self) -> Element | None:
        """The VAT in all, and by category and rate (BG-23)."""
        el = self.el
        return el(
            "cac:TaxTotal",
            self.amount("cbc:TaxAmount", self.totals.vat),
            *(
                el(
                    "cac:TaxSubtotal",
                    self.amount("cbc:TaxableAmount", group.base),
                    self.amount("cbc:TaxAmount", group.tax),
                    self.category(
                        "cac:TaxCategory",
                        group.category,
                        group.rate_pct,
                        self.doc.exemption(group.category),
                    ),
                )
                for group in self.totals.groups
            ),
        )

    def sums(self) -> Element | None:
        """The totals (BG-22)."""
        totals = self.totals
        return self.el(
            "cac:LegalMonetaryTotal",
            self.amount("cbc:LineExtensionAmount", totals.lines_net),
            self.amount("cbc:TaxExclusiveAmount", totals.net),
            self.amount("cbc:TaxInclusiveAmount", totals.gross),
            self.amount("cbc:AllowanceTotalAmount", totals.allowances),
            self.amount("cbc:ChargeTotalAmount", totals.charges),
            self.amount("cbc:PrepaidAmount", totals.prepaid),
            self.amount("cbc:PayableAmount", totals.due),
        )

    def line(self, line: Line, net: Decimal) -> Element | None:
        """One line (BG-25)."""
        el, credit = self.el, self.doc.is_credit
        quantity = "cbc:CreditedQuantity" if credit else "cbc:InvoicedQuantity"
        return el(
            "cac:CreditNoteLine" if credit else "cac:InvoiceLine",
            el("cbc:ID", line.number),
            el(quantity, number(line.quantity), unitCode=line.unit),
            self.amount("cbc:LineExtensionAmount", net),
            self.line_discount(line),
            el(
                "cac:Item",
                el("cbc:Description", line.details),
                el("cbc:Name", line.description),
                self.category("cac:ClassifiedTaxCategory", line.category, line.rate_pct),
            ),
            el(
                "cac:Price",
                el("cbc:PriceAmount", number(line.unit_price), currencyID=self.doc.currency),
            ),
        )

    def line_discount(self, line: Line) -> Element | None:
        """What is taken off one line (BG-27); nothing where there is none."""
        if not line.discount:
            return None
        return self.el(
            "cac:AllowanceCharge",
            self.el("cbc:ChargeIndicator", "false"),
            self.el("cbc:AllowanceChargeReasonCode", terms.DISCOUNT_CODE),
            self.el("cbc:AllowanceChargeReason", line.discount_reason),
            self.amount("cbc:Amount", line.discount),
        )
