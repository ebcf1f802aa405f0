"""The sums of an invoice, in the order that EN 16931 prescribes. Pure; refuses what cannot be.

Each line is rounded, then summed; tax is reckoned once for each (category, rate), never per line.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from django.utils.translation import gettext as _

from repairs.einvoice.document import (
    CATEGORIES,
    STANDARD,
    Allowance,
    InvoiceDoc,
    Line,
    TaxGroup,
    Totals,
)
from repairs.einvoice.names import category_name
from repairs.einvoice.refusals import InvoiceFigureError
from repairs.language.text import decimal_words
from repairs.money import NOTHING, rounded, share, tax_in, total

MOST = Decimal("1E10")
QUANTITY_PLACES, PRICE_PLACES, AMOUNT_PLACES, RATE_PLACES = 4, 6, 2, 2

Key = tuple[str, Decimal]


def totals_of(doc: InvoiceDoc) -> Totals:
    """All the sums of the invoice. Raises InvoiceFigureError on a figure that cannot be."""
    if not doc.lines:
        raise InvoiceFigureError(where=_("The invoice"), why=_("it has no line to bill. Add one."))
    line_nets = tuple(line_net(line) for line in doc.lines)
    for allowance in doc.allowances:
        _check_allowance(allowance)
    lines_net = total(line_nets)
    allowances = total(one.amount for one in doc.allowances if not one.is_charge)
    charges = total(one.amount for one in doc.allowances if one.is_charge)
    # BR-CO-13. A deposit is no allowance: it lowers what is due, not what was sold.
    net = lines_net - allowances + charges
    groups = tax_groups(doc, line_nets)
    # BR-CO-14: the VAT of the invoice is the sum of its groups, each rounded once (BR-CO-17); a tax
    # reckoned line by line would be off by a cent on every other long invoice.
    vat = total(group.tax for group in groups)
    prepaid = total(_deposits(doc))
    return Totals(
        line_nets=line_nets,
        lines_net=lines_net,
        allowances=allowances,
        charges=charges,
        net=net,
        vat=vat,
        gross=net + vat,
        prepaid=prepaid,
        due=net + vat - prepaid,
        groups=groups,
    )


def line_net(line: Line) -> Decimal:
    """Quantity × price, rounded, less the discount of the line."""
    where = _line_words(line)
    _check(where, _("quantity"), line.quantity, places=QUANTITY_PLACES)
    _check(where, _("price"), line.unit_price, places=PRICE_PLACES)
    _check(where, _("discount"), line.discount, places=AMOUNT_PLACES)
    if line.quantity == 0:
        raise InvoiceFigureError(where=where, why=_("the quantity is zero. Leave the line out."))
    _check_tax(where, line.category, line.rate_pct)
    before = rounded(line.quantity * line.unit_price)
    # A line below zero would need a charge, and readers of invoices take a negative line for a
    # return.
    if line.discount > before:
        why = _("the discount is more than the line. Lower it, or leave the line out.")
        raise InvoiceFigureError(where=where, why=why)
    return before - rounded(line.discount)


def tax_groups(doc: InvoiceDoc, line_nets: tuple[Decimal, ...]) -> tuple[TaxGroup, ...]:
    """Base and tax of each (category, rate), in the order in which they first appear."""
    bases: dict[Key, Decimal] = {}
    for key, amount in _taxed(doc, line_nets):
        bases[key] = bases.get(key, NOTHING) + amount
    for (category, _rate), base in bases.items():
        if base < 0:
            raise InvoiceFigureError(
                where=_("The discount"),
                why=_("it is more than all lines under “%(category)s” with that rate. Lower it.")
                % {"category": category_name(category)},
            )
    agreed = _agreed(doc, line_nets)
    return tuple(
        TaxGroup(
            category=key[0],
            rate_pct=key[1],
            base=base,
            tax=_tax(doc, key, base, agreed.get(key, (NOTHING, NOTHING))),
        )
        for key, base in bases.items()
    )


def _agreed(doc: InvoiceDoc, line_nets: tuple[Decimal, ...]) -> dict[Key, tuple[Decimal, Decimal]]:
    """Of the lines whose price was agreed with its tax: net and tax, under each tax.

    None where something is taken off or added to all lines of that tax, nor of a line whose price
    was changed since: what was agreed then holds no more.
    """
    found: dict[Key, tuple[Decimal, Decimal]] = {}
    shared = {_key(one) for one in doc.allowances}
    for line, net in zip(doc.lines, line_nets, strict=True):
        key = _key(line)
        if line.gross is None or key in shared or net != line.gross - tax_in(line.gross, key[1]):
            continue
        nets, taxes = found.get(key, (NOTHING, NOTHING))
        found[key] = nets + net, taxes + line.gross - net
    return found


def _tax(doc: InvoiceDoc, key: Key, base: Decimal, agreed: tuple[Decimal, Decimal]) -> Decimal:
    """Tax on a base; a credit note takes no more than is left, and with the whole base all of it.

    Rounded anew each time, credit notes in parts would leave cents on an invoice, or ask for more
    than it has; and what was agreed with its tax would be a cent off, one time in six at 20 %.
    EN 16931 (BR-CO-17) tolerates the difference.
    """
    exact = share(base - agreed[0], key[1]) + agreed[1]
    left = group_under(doc.tax_left, key)
    if left is None:
        return exact
    return left.tax if base == left.base else min(exact, left.tax)


def group_under(groups: Iterable[TaxGroup], key: Key) -> TaxGroup | None:
    """The group of that category and rate; None when there is none."""
    return next((one for one in groups if (one.category, one.rate_pct) == key), None)


def _taxed(doc: InvoiceDoc, line_nets: tuple[Decimal, ...]) -> Iterator[tuple[Key, Decimal]]:
    for line, net in zip(doc.lines, line_nets, strict=True):
        yield _key(line), net
    for one in doc.allowances:
        yield _key(one), one.amount if one.is_charge else -one.amount


def _key(taxed: Line | Allowance) -> Key:
    """20 and 20.00 are one rate; written as short as it can be, but never as 2E+1."""
    # 20 and 20.00 are one group; without this a draft of two origins would show its VAT in two
    # rows.
    return taxed.category, Decimal(format(taxed.rate_pct.normalize(), "f"))


def _deposits(doc: InvoiceDoc) -> Iterator[Decimal]:
    for deposit in doc.deposits:
        where = _("Deposit %(number)s") % {"number": deposit.number}
        _check(where, _("amount"), deposit.amount, places=AMOUNT_PLACES)
        yield rounded(deposit.amount)


def _check_allowance(allowance: Allowance) -> None:
    where = _("“%(reason)s”") % {"reason": allowance.reason}
    _check(where, _("amount"), allowance.amount, places=AMOUNT_PLACES)
    _check_tax(where, allowance.category, allowance.rate_pct)


def _check_tax(where: str, category: str, rate_pct: Decimal) -> None:
    if category not in CATEGORIES:
        why = _("“%(code)s” is no category of tax. Choose one of the list.") % {"code": category}
        raise InvoiceFigureError(where=where, why=why)
    _check(where, _("rate of tax"), rate_pct, places=RATE_PLACES)
    if rate_pct > 100:
        why = _("the rate of tax is %(rate)s %%, but it cannot exceed 100 %%.")
        why %= {"rate": decimal_words(rate_pct)}
        raise InvoiceFigureError(where=where, why=why)
    if (rate_pct > 0) != (category == STANDARD):
        why = _("a rate above zero goes with “taxed” only, and “taxed” with no other.")
        raise InvoiceFigureError(where=where, why=why)


def _check(where: str, what: str, value: Decimal, *, places: int) -> None:
    """Finite, not negative, not absurdly large, and with no more places than can be written."""
    if not value.is_finite() or value < 0:
        why = _(
            "the %(what)s cannot be negative. To take something off, give a discount; to take "
            "back what was billed, issue a credit note."
        ) % {"what": what}
        raise InvoiceFigureError(where=where, why=why)
    if value >= MOST:
        raise InvoiceFigureError(
            where=where, why=_("the %(what)s is too large. Look it over.") % {"what": what}
        )
    if value != round(value, places):
        why = _("the %(what)s has more than %(places)d decimal places. Round it.")
        raise InvoiceFigureError(where=where, why=why % {"what": what, "places": places})


def _line_words(line: Line) -> str:
    return _("Line %(number)s, “%(what)s”") % {"number": line.number, "what": line.description}
