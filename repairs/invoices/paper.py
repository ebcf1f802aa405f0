"""The printed invoice as frozen data, in the language of its reader, and the lines of its table."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from repairs.einvoice.document import InvoiceDoc, Line, TaxGroup
from repairs.invoices.codes import rate_words, time_words, unit_words
from repairs.language.text import decimal_words, labelled
from repairs.money import amount_words

LabelledRow = tuple[str, str]


@dataclass(frozen=True, kw_only=True)
class PaperLine:
    """One line of the table, as it is printed."""

    number: str
    description: str
    details: str
    quantity: str
    unit: str
    price: str
    rate: str
    net: str


@dataclass(frozen=True, kw_only=True)
class InvoicePaper:
    """What the paper says, in the language of its reader."""

    kind: str
    number: str
    is_credit: bool
    issued_on: str
    due_on: str
    delivery_on: str
    paid_on: str
    amount_label: str
    amount: str
    seller: tuple[LabelledRow, ...]
    buyer: tuple[str, ...]
    buyer_rows: tuple[LabelledRow, ...]
    corrects: str
    lines: tuple[PaperLine, ...]
    taken_off: tuple[LabelledRow, ...]
    taxes: tuple[tuple[str, str, str, str], ...]
    sums: tuple[LabelledRow, ...]
    deposits: tuple[LabelledRow, ...]
    pay_rows: tuple[LabelledRow, ...]
    mentions: tuple[str, ...]


def paper_line(line: Line, net: Decimal) -> PaperLine:
    """One line as it is printed; ``net`` is before tax, less its discount."""
    quantity, unit = _counted(line)
    return PaperLine(
        number=line.number,
        description=capfirst(line.description),
        details="\n".join(capfirst(part) for part in _details(line) if part),
        quantity=quantity,
        unit=unit,
        price=_price_words(line.unit_price),
        rate=rate_words(line.category, line.rate_pct),
        net=amount_words(net),
    )


def _details(line: Line) -> Iterator[str]:
    yield from line.details.splitlines()
    if line.discount:
        reason = line.discount_reason or _("Discount")
        yield labelled(reason, f"−{amount_words(line.discount)}")


def _counted(line: Line) -> tuple[str, str]:
    """How many of what: parts of an hour as a clock says them, and a flat price is not counted."""
    if time := time_words(line.unit, line.quantity):
        return time, ""
    if line.is_flat:
        return "", pgettext("so many", "flat price")
    return decimal_words(line.quantity), unit_words(line.unit, line.quantity)


def _price_words(price: Decimal) -> str:
    """Two places, or as many as the price has."""
    has_more = price != round(price, 2)
    return decimal_words(price) if has_more else amount_words(price)


def _tax_words(category: str, rate_pct: Decimal) -> str:
    """The rate named as one, where a per cent of something else stands beside it."""
    words, vat = rate_words(category, rate_pct), _("VAT")
    return f"{vat} {words}" if rate_pct else words


def taken_off(doc: InvoiceDoc) -> tuple[LabelledRow, ...]:
    """What is taken off the whole invoice, or added to it, each with the tax that it bears."""
    return tuple(
        (
            f"{one.reason} ({_tax_words(one.category, one.rate_pct)})",
            f"{'' if one.is_charge else '−'}{amount_words(one.amount)}",
        )
        for one in doc.allowances
    )


def tax_row(group: TaxGroup) -> tuple[str, str, str, str]:
    """Rate, code of the category, sum before tax, tax."""
    rate = rate_words(group.category, group.rate_pct)
    return rate, group.category, amount_words(group.base), amount_words(group.tax)
