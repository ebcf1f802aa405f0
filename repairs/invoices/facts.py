"""All that an invoice rests on, as plain facts: ``gathering`` reads them once, and what is made of
them afterwards (the invoice, its problems, what is to be asked) asks no table.

Amounts are of the house's currency; days are those of its calendar.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from repairs.einvoice.document import TaxGroup
from repairs.invoices.codes import Kind
from repairs.invoices.deals import Deal
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.models import Invoice
from repairs.invoices.remaining import LineLeft, gross_of
from repairs.law.mentions import Mention
from repairs.money import total
from repairs.people.house_models import House
from repairs.people.models import Client
from repairs.treatment.models import AgreedWork


@dataclass(frozen=True, kw_only=True)
class InvoiceLeft:
    """An issued invoice or deposit invoice, with what its credit notes have left of it."""

    invoice: Invoice
    groups: tuple[TaxGroup, ...]
    is_deducted: bool = False  # a deposit, by an invoice that was issued
    is_ticked: bool = False  # a deposit that the draft deducts
    bills_same: bool = False  # some work, material or cost that the draft would bill

    @property
    def number(self) -> str:
        """Number of the invoice that is credited."""
        return self.invoice.number

    @property
    def kind(self) -> str:
        """Its kind: an invoice or a deposit."""
        return self.invoice.kind

    @property
    def gross(self) -> Decimal:
        """What is left of it, tax included."""
        return gross_of(self.groups)


@dataclass(frozen=True, kw_only=True)
class Credited(InvoiceLeft):
    """The invoice that a credit note corrects; ``lines`` by the source that the note's lines name.

    ``operation`` is what it stated: a credit note states the same.
    """

    lines: Mapping[str, LineLeft]
    operation: str


@dataclass(frozen=True, kw_only=True)
class OfCase:
    """What its case says of a draft that bills it. ``invoices`` are without credit notes."""

    ceiling: Decimal | None  # tax included, as the owner agreed to it
    prices: tuple[AgreedWork, ...]  # works agreed at a price at the counter that still stand
    invoices: tuple[InvoiceLeft, ...]
    is_unfinished: bool  # it goes on, and some work is not signed off


@dataclass(frozen=True, kw_only=True)
class Facts:
    """What one draft would be issued from, at one moment."""

    draft: InvoiceDraft
    house: House
    client: Client
    day: dt.date  # of the issue, where the house is
    tax_day: dt.date  # whose law decides on rate, reason and regime
    deal: Deal
    mentions: tuple[Mention, ...]  # what the law wants on the invoice
    supplied_on: dt.date | None
    rows: tuple[DraftLine, ...]
    deposits: tuple[InvoiceLeft, ...]  # to be deducted, the oldest first
    credited: Credited | None
    case_number: str
    case: OfCase | None  # none for a credit note, which says no more of a case
    is_closed: bool  # the books of the year

    @property
    def is_credit(self) -> bool:
        """Whether the draft is one of a credit note."""
        return self.draft.is_credit

    @property
    def is_final(self) -> bool:
        """Whether it bills what was done, and deducts what was paid on account."""
        return self.draft.kind == Kind.INVOICE

    @property
    def sorts(self) -> dict[str, str]:
        """What each line is (work, material, …), by its number on the invoice."""
        return {str(row.position): row.sort for row in self.rows}

    @property
    def prepaid(self) -> Decimal:
        """What the deposits take off, tax included."""
        return total(one.gross for one in self.deposits)
