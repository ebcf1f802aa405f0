"""Facts of invoices made by hand, without a table: a draft, its client, its house, its case."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from repairs.einvoice.document import Line, TaxGroup
from repairs.invoices.codes import Kind
from repairs.invoices.deals import deal_with
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.facts import Credited, Facts, InvoiceLeft, OfCase
from repairs.invoices.models import Invoice
from repairs.invoices.remaining import LineLeft
from repairs.people.house_models import House
from repairs.people.models import Client
from repairs.treatment.models import AgreedWork
from tests.factories import BILLING

TODAY = dt.date(2026, 11, 30)
PRIVATE = {"country": "FR", "city": "Montluçon", "address": "3, rue des Tanneurs"}
FIRM = PRIVATE | {"kind": Client.Kind.INSTITUTION, "company_number": "356000000"}


def row(quantity: str = "1", price: str = "100", **said: Any) -> DraftLine:
    """A line of a draft: one piece at 100.00 and 20 % unless said otherwise."""
    facts: dict[str, Any] = {
        "position": 1,
        "sort": "hours",
        "description": "Work",
        "quantity": Decimal(quantity),
        "unit": "HUR",
        "unit_price": Decimal(price),
        "category": "S",
        "rate_pct": Decimal(20),
    }
    return DraftLine(**facts | said)


def facts(
    *rows: DraftLine,
    client: dict[str, Any] | None = None,
    house: dict[str, Any] | None = None,
    case: OfCase | None = None,
    deposits: tuple[InvoiceLeft, ...] = (),
    credited: Credited | None = None,
    supplied_on: dt.date | None = TODAY,
    is_closed: bool = False,
    **draft: Any,
) -> Facts:
    """Facts of an invoice of today, in English, in the house's usual rate."""
    buyer = Client(**{"name": "Garance Ollivant", **(client or PRIVATE)})
    seller = House(**BILLING | {"name": "Atelier Sautarel"} | (house or {}))
    said: dict[str, Any] = {"kind": Kind.INVOICE, "language": "en", "payment_days": 30}
    return Facts(
        draft=InvoiceDraft(**said | draft),
        house=seller,
        client=buyer,
        day=TODAY,
        tax_day=TODAY,
        deal=deal_with(seller, buyer, TODAY),
        mentions=(),
        supplied_on=supplied_on,
        rows=rows or (row(),),
        deposits=deposits,
        credited=credited,
        case_number="",
        case=case,
        is_closed=is_closed,
    )


def group(base: str, tax: str, rate_pct: str = "20") -> TaxGroup:
    return TaxGroup(category="S", rate_pct=Decimal(rate_pct), base=Decimal(base), tax=Decimal(tax))


def billed(number: str = "FA-1", kind: str = Kind.INVOICE, **said: Any) -> InvoiceLeft:
    """An invoice of which 120.00 is left, tax included."""
    own: dict[str, Any] = {"groups": (group("100", "20"),)} | said
    invoice = Invoice(number=number, kind=kind, currency="EUR", issued_on=TODAY)
    return InvoiceLeft(invoice=invoice, **own)


def of_case(
    *invoices: InvoiceLeft, ceiling: str | None = None, prices: tuple[str, ...] = (), **said: Any
) -> OfCase:
    """A case with what was billed of it; ``prices`` were agreed at the counter, tax included."""
    works = [AgreedWork(basis="counter", ceiling=Decimal(one), currency="EUR") for one in prices]
    return OfCase(
        ceiling=None if ceiling is None else Decimal(ceiling),
        prices=tuple(works),
        invoices=invoices,
        is_unfinished=said.get("is_unfinished", False),
    )


def credited(*lines: tuple[str, str], left: tuple[TaxGroup, ...], **said: Any) -> Credited:
    """An invoice that is credited: of its lines so many hours at a price, and what is left."""
    rows = {
        f"line:{number}": _left(str(number), *line) for number, line in enumerate(lines, start=1)
    }
    facts: dict[str, Any] = {"operation": "S", "lines": rows}
    return Credited(invoice=billed("FA-7").invoice, groups=left, **facts | said)


def _left(number: str, quantity: str, price: str) -> LineLeft:
    line = Line(
        number=number,
        description="Work",
        quantity=Decimal(quantity),
        unit="HUR",
        unit_price=Decimal(price),
        rate_pct=Decimal(20),
    )
    return LineLeft(line, line.quantity, Decimal(0), line.quantity * line.unit_price)
