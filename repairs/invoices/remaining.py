"""What credit notes have left of an issued invoice: under each tax, and of each of its lines."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from django.db.models import Q

from repairs.einvoice.document import Line, TaxGroup
from repairs.einvoice.frozen import doc_from
from repairs.einvoice.totals import line_net
from repairs.invoices.draft_models import DraftLine
from repairs.invoices.models import Invoice, TaxRow
from repairs.money import NOTHING, total

LINE_OF_INVOICE = "line:"


def groups_left_of(invoices: Collection[Invoice]) -> dict[int, tuple[TaxGroup, ...]]:
    """By the key of each invoice what it billed under each tax, less its credit notes; one query.

    What a final invoice took off for its deposits is no part of what it billed: the deposits were
    billed by their own invoices. Added up here and not by the database: SQLite reckons decimals
    as binary fractions.
    """
    left: dict[int, dict[tuple[str, Decimal], tuple[Decimal, Decimal]]] = {
        one.pk: {} for one in invoices
    }
    # One query for all invoices: a list of a thousand would otherwise ask a thousand times.
    own = Q(invoice__in=invoices) & ~Q(part=TaxRow.Part.DEDUCTION)
    rows = TaxRow.objects.filter(own | Q(invoice__credits__in=invoices))
    facts = rows.values_list("invoice", "invoice__credits", "category", "rate_pct", "base", "tax")
    for pk, corrected, category, rate_pct, base, tax in facts:
        # The row of a credit note counts for the invoice it corrects, even where the note itself is
        # among those asked about.
        groups = left[corrected if corrected in left else pk]
        base_so_far, tax_so_far = groups.get((category, rate_pct), (NOTHING, NOTHING))
        groups[category, rate_pct] = base_so_far + base, tax_so_far + tax
    return {pk: _as_groups(groups) for pk, groups in left.items()}


def _as_groups(
    sums: dict[tuple[str, Decimal], tuple[Decimal, Decimal]],
) -> tuple[TaxGroup, ...]:
    return tuple(
        TaxGroup(category=category, rate_pct=rate_pct, base=base, tax=tax)
        for (category, rate_pct), (base, tax) in sums.items()
    )


def gross_of(groups: Iterable[TaxGroup]) -> Decimal:
    """Bases and taxes together."""
    return total(group.base + group.tax for group in groups)


def gross_left(invoice: Invoice) -> Decimal:
    """What credit notes have left of the invoice, tax included; for many ask groups_left_of."""
    return gross_of(groups_left_of([invoice])[invoice.pk])


@dataclass(frozen=True)
class LineLeft:
    """What credit notes have left of a line of an invoice; ``net`` is before tax."""

    line: Line
    quantity: Decimal
    discount: Decimal
    net: Decimal

    def less(self, row: DraftLine) -> LineLeft:
        """What is left once ``row`` of a credit note has taken its part.

        A note may take more off in discount than the line has: none is left then, and never less.
        """
        return replace(
            self,
            net=self.net - row.net,
            quantity=self.quantity - row.quantity,
            # Below zero a discount would be a charge, which UBL and CII write in another place
            # (BG-28).
            discount=max(self.discount - row.discount, NOTHING),
        )

    @property
    def is_whole_units(self) -> bool:
        """Whether the quantity that is left, at the line's price, is what is left of its net."""
        if self.quantity <= 0:
            return False
        as_billed = replace(self.line, quantity=self.quantity, discount=self.discount)
        return line_net(as_billed) == self.net


def lines_left(invoice: Invoice) -> dict[str, LineLeft]:
    """By the source that a line of a credit note names, in the order of the invoice."""
    left = {
        f"{LINE_OF_INVOICE}{line.number}": LineLeft(
            line, line.quantity, line.discount, line_net(line)
        )
        for line in doc_from(invoice.content).lines
    }
    for row in DraftLine.objects.filter(draft__issued__credits=invoice, source__in=left):
        left[row.source] = left[row.source].less(row)
    return left


def discount_left(
    lines: Iterable[LineLeft], has: TaxGroup, base: Decimal, discount: Decimal
) -> Decimal:
    """The discount on lines of a credit note that come to ``base`` under the tax of ``has``,
    which is what the invoice has left under it; ``lines`` are all that are left of the invoice.

    With all lines that are left it is what brings them to the base that is left, to the cent
    (below zero where earlier credit notes took too much off); before, it is ``discount``, or as
    much more as keeps the credit note within what is left. All before tax.
    """
    key = (has.category, has.rate_pct)
    rest = total(one.net for one in lines if (one.line.category, one.line.rate_pct) == key)
    # The last credit note takes what rounding left, so that invoice and notes cancel to the cent
    # and the account can be lettered.
    return base - has.base if base == rest else max(discount, base - has.base)
