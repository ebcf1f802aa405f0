"""What its case says of a draft: the ceiling agreed, the deposits to deduct, the work not done.

All of it is read off the facts of the draft; no table is asked.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from django.utils.translation import gettext as _

from repairs.einvoice.document import InvoiceDoc
from repairs.invoices.codes import Kind
from repairs.invoices.facts import Facts, InvoiceLeft, OfCase
from repairs.language.text import decimal_words
from repairs.money import NOTHING, money_words, share, total


def above_agreed(facts: Facts, gross: Decimal) -> Decimal:
    """By how much all that is billed of the case would be above the ceiling that was agreed.

    ``gross`` is what the draft would bill, with tax; 0 when there is no ceiling or it is kept.
    """
    if facts.case is None or facts.case.ceiling is None:
        return NOTHING
    asked = gross + total(one.gross for one in _billed(facts, facts.case))
    return max(NOTHING, asked - facts.case.ceiling)


def _billed(facts: Facts, case: OfCase) -> Iterator[InvoiceLeft]:
    """What the owner was asked for already, but for the deposits that this draft may deduct."""
    for one in case.invoices:
        if one.kind == Kind.INVOICE or (not one.is_deducted and facts.draft.kind == Kind.DEPOSIT):
            yield one


def case_problems(facts: Facts, doc: InvoiceDoc, gross: Decimal) -> Iterator[str]:
    """What the case holds against issuing the draft, as sentences; ``gross`` is with tax."""
    if facts.case is None:
        return
    above = above_agreed(facts, gross)
    if above and not facts.draft.above_because:
        yield _(
            "With it %(sum)s more is billed than was agreed. Agree on a new estimate, lower it, or "
            "write on the draft under “more than was agreed” who said yes to it, when and how."
        ) % {"sum": money_words(above, doc.currency)}
    yield from _forgotten(facts.case) if facts.is_final else _too_late(facts.case)


def case_remarks(facts: Facts) -> list[str]:
    """What the case asks to look at, and that stops nothing."""
    if facts.case is None or not facts.is_final:
        return []
    return [*_unfinished(facts.case), *_below_agreed(facts, facts.case), *billed_twice(facts)]


def _unfinished(case: OfCase) -> Iterator[str]:
    if case.is_unfinished:
        yield _(
            "Work of this case is not signed off yet, but the invoice states a day on which it "
            "was done. Bill what is done, and type that day."
        )


def _below_agreed(facts: Facts, case: OfCase) -> Iterator[str]:
    """A price agreed at the counter that no sum before tax comes to, since tax is rounded once."""
    rate_pct = max((row.rate_pct for row in facts.rows), default=NOTHING)
    for agreed in case.prices:
        net = agreed.net_price_at(rate_pct)
        price = agreed.ceiling or NOTHING
        if net and net + share(net, rate_pct) != price:
            yield _(
                "%(price)s was agreed, tax included. With %(rate)s %% no sum before tax comes to "
                "it; %(nearest)s is the next below."
            ) % {
                "price": money_words(price, agreed.currency),
                "rate": decimal_words(rate_pct),
                "nearest": money_words(net + share(net, rate_pct), agreed.currency),
            }


def billed_twice(facts: Facts) -> list[str]:
    """A sentence for each invoice that stands and bills the same work, material or cost."""
    words = _("Invoice %(number)s bills some of the same work or material already.")
    same = [one for one in facts.case.invoices if one.bills_same] if facts.case else []
    return [
        words % {"number": one.number} for one in same if one.kind == Kind.INVOICE and one.gross > 0
    ]


def _too_late(case: OfCase) -> Iterator[str]:
    """A deposit comes before the invoice that deducts it."""
    for one in case.invoices:
        if one.kind == Kind.INVOICE and one.gross > 0:
            yield _(
                "The case was invoiced by %(number)s: a deposit can be asked for no more. Note "
                "what is paid there, and throw this draft away."
            ) % {"number": one.number}


def _forgotten(case: OfCase) -> Iterator[str]:
    """Deposits of the same case that would be neither deducted nor given back."""
    for one in case.invoices:
        is_open = one.kind == Kind.DEPOSIT and not (one.is_deducted or one.is_ticked)
        if is_open and one.gross > 0:
            yield _(
                "Deposit invoice %(number)s of this case, %(sum)s, is not deducted. Tick it on the "
                "draft under “deposits to deduct”, or credit it first."
            ) % {"number": one.number, "sum": money_words(one.gross, one.invoice.currency)}
