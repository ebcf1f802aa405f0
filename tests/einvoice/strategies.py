"""Random invoices that are lawful, of all kinds, sellers, buyers, categories, sums and scripts."""

from __future__ import annotations

import dataclasses
import datetime as dt
from decimal import Decimal

from hypothesis import strategies as st

from repairs.einvoice.document import (
    CREDIT,
    DEPOSIT,
    EXEMPT,
    EXPORT,
    INVOICE,
    OUTSIDE,
    REVERSE,
    STANDARD,
    WITHIN_EU,
    Allowance,
    Deposit,
    Exemption,
    InvoiceDoc,
    Line,
    Note,
    Party,
    Preceding,
)
from repairs.einvoice.totals import totals_of
from repairs.einvoice.write.elements import legal
from repairs.money import NOTHING
from tests.einvoice.samples import FOREIGN_HOUSE, GERMAN, MUSEUM, NOTES, PLAYER, SWISS, WORKSHOP

FIRST, LAST = dt.date(2024, 1, 1), dt.date(2029, 12, 31)
SMALL = dataclasses.replace(WORKSHOP, vat_id="", legal_name="H. Sautarel EI", legal_form="EI")
FRENCH_RATES = [Decimal(rate) for rate in ("20", "10", "5.5", "2.1")]
GERMAN_RATES = [Decimal("19"), Decimal("7")]
UNITS = ["C62", "HUR", "MIN", "DAY", "MTR", "MTK", "GRM", "KGM", "LTR"]
ABROAD = {REVERSE: GERMAN, WITHIN_EU: GERMAN, EXPORT: SWISS, OUTSIDE: SWISS}
CODES = {
    EXEMPT: "VATEX-FR-FRANCHISE",
    REVERSE: "VATEX-EU-AE",
    WITHIN_EU: "VATEX-EU-IC",
    EXPORT: "VATEX-EU-G",
    OUTSIDE: "VATEX-EU-O",
}
NO_EMAIL = dataclasses.replace(PLAYER, email="")

words = st.text(min_size=1, max_size=40).filter(lambda text: bool(legal(text).strip()))
days = st.dates(FIRST, LAST)
numbers = st.from_regex(r"[A-Z]{2}-20[0-9]{2}-[0-9]{4}", fullmatch=True)


def amounts(most: str, places: int, *, least: str = "0") -> st.SearchStrategy[Decimal]:
    return st.decimals(least, most, places=places, allow_nan=False, allow_infinity=False)


@st.composite
def parties(draw: st.DrawFn) -> tuple[Party, Party, list[tuple[str, Decimal]]]:
    """Seller, buyer, and the (category, rate) pairs that may stand on one invoice of theirs."""
    way = draw(st.sampled_from(["taxed", "small", "mixed", "german", *ABROAD]))
    at_home = draw(st.sampled_from([MUSEUM, PLAYER, NO_EMAIL, GERMAN, SWISS]))
    if way in ABROAD:
        return WORKSHOP, ABROAD[way], [(way, NOTHING)]
    if way == "small":
        return SMALL, at_home, [(EXEMPT, NOTHING)]
    if way == "german":
        return FOREIGN_HOUSE.seller, at_home, [(STANDARD, rate) for rate in GERMAN_RATES]
    taxed = [(STANDARD, rate) for rate in FRENCH_RATES]
    return WORKSHOP, at_home, [*taxed, (EXEMPT, NOTHING)] if way == "mixed" else taxed


@st.composite
def lines(draw: st.DrawFn, number: int, pairs: list[tuple[str, Decimal]]) -> Line:
    category, rate_pct = draw(st.sampled_from(pairs))
    line = Line(
        number=str(number),
        description=draw(words),
        details=draw(st.text(max_size=20)),
        quantity=draw(amounts("9999", draw(st.integers(0, 4)), least="1")),
        unit=draw(st.sampled_from(UNITS)),
        unit_price=draw(amounts("9999", draw(st.integers(0, 6)))),
        category=category,
        rate_pct=rate_pct,
    )
    if draw(st.booleans()) and (net := line.quantity * line.unit_price) > 1:
        discount = draw(amounts("1", 2)) if net < 100 else draw(amounts("99.99", 2))
        return dataclasses.replace(line, discount=discount, discount_reason=draw(words))
    return line


@st.composite
def allowances(draw: st.DrawFn, line: Line) -> Allowance:
    """Small enough for its group: its line pays for it."""
    room = line.quantity * line.unit_price - line.discount
    charge = draw(st.booleans()) or room < 10
    return Allowance(
        amount=draw(amounts("9.99", 2)),
        reason=draw(words),
        category=line.category,
        rate_pct=line.rate_pct,
        is_charge=charge,
    )


@st.composite
def deposits(draw: st.DrawFn) -> Deposit:
    if draw(st.booleans()):
        return Deposit(amount=draw(amounts("500", 2)))
    return Deposit(
        amount=draw(amounts("500", 2)), number=draw(numbers), issued_on=draw(st.just(FIRST))
    )


@st.composite
def exemptions(draw: st.DrawFn, categories: list[str]) -> tuple[Exemption, ...]:
    return tuple(
        Exemption(category=category, code=CODES[category], text=draw(words))
        for category in categories
    )


@st.composite
def invoices(draw: st.DrawFn) -> InvoiceDoc:
    seller, buyer, pairs = draw(parties())
    kind = draw(st.sampled_from([INVOICE, INVOICE, INVOICE, CREDIT, DEPOSIT]))
    count = draw(st.integers(1, 6))
    billed = tuple(draw(lines(n, pairs)) for n in range(1, count + 1))
    issued_on = draw(days)
    categories = {line.category for line in billed}
    reasons = draw(exemptions(sorted(categories - {STANDARD})))
    doc = InvoiceDoc(
        kind=kind,
        number=draw(numbers),
        issued_on=issued_on,
        due_on=issued_on + dt.timedelta(days=draw(st.integers(0, 90))),
        delivery_on=draw(days) if WITHIN_EU in categories else draw(st.none() | days),
        operation=draw(st.sampled_from("SBM")),
        seller=seller,
        buyer=dataclasses.replace(buyer, name=draw(words), address=(draw(words),)),
        buyer_reference=draw(st.text(max_size=20)),
        order_reference=draw(st.text(max_size=20)),
        lines=billed,
        allowances=(draw(allowances(billed[0])),) if draw(st.booleans()) else (),
        deposits=tuple(draw(st.lists(deposits(), max_size=2))) if kind == INVOICE else (),
        preceding=(Preceding(number=draw(numbers), issued_on=FIRST),) if kind == CREDIT else (),
        exemptions=reasons,
        notes=(*NOTES, Note(code="AAI", text=draw(st.text(max_size=40)))),
        payment_terms=draw(st.text(max_size=30)),
        payment_means=draw(st.sampled_from(["30", "10", "20", "48"])),
    )
    return _paid(doc) if kind == INVOICE and draw(st.booleans()) else doc


def _paid(doc: InvoiceDoc) -> InvoiceDoc:
    """To the cent."""
    owed = totals_of(dataclasses.replace(doc, deposits=())).gross
    return dataclasses.replace(doc, deposits=(Deposit(amount=owed),))
