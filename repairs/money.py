"""Amounts of money: exact decimals, and the only place that rounds them."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal

from django.utils.formats import number_format

from repairs.language.text import decimal_words

CENT = Decimal("0.01")
NOTHING = Decimal("0.00")


def rounded(amount: Decimal) -> Decimal:
    """To two places, halves away from zero: 0.125 is 0.13, and -0.125 is -0.13."""
    return amount.quantize(CENT, ROUND_HALF_UP) + NOTHING  # the sum turns -0.00 into 0.00


def share(amount: Decimal, rate_pct: Decimal) -> Decimal:
    """So many per cent of an amount, rounded."""
    return rounded(amount * rate_pct / 100)


def tax_in(price: Decimal, rate_pct: Decimal) -> Decimal:
    """The tax that lies in a price, rounded: what is left of the price is before tax.

    It may be a cent off the tax reckoned from what is left, which no price can always meet.
    """
    return rounded(price * rate_pct / (100 + rate_pct))


def net_within(price: Decimal, rate_pct: Decimal) -> Decimal:
    """The greatest amount before tax that is not above a price once its tax is added.

    Not every price can be met: at 20 %, 22.05 lies between 22.04 and 22.06. Then it is the lower.
    """
    net = rounded(price * 100 / (100 + rate_pct))
    return net - CENT if net + share(net, rate_pct) > price else net


def prices_beside(price: Decimal, rate_pct: Decimal) -> tuple[Decimal, ...]:
    """The nearest prices that an invoice can come to, when it cannot come to that one itself."""
    net = net_within(price, rate_pct)
    below, above = (one + share(one, rate_pct) for one in (net, net + CENT))
    return () if below == price else (below, above)


def total(amounts: Iterable[Decimal]) -> Decimal:
    """The sum of amounts that are rounded already; nothing makes 0.00."""
    return sum(amounts, NOTHING)


def amount_words(amount: Decimal | None) -> str:
    """A number with two places as a reader of the language in force writes it."""
    return "" if amount is None else _signed(number_format(amount, 2, force_grouping=True))


def exact_words(amount: Decimal | None) -> str:
    """As ``amount_words``, but a third place that somebody wrote is not hidden by rounding."""
    if amount is None or amount == rounded(amount):
        return amount_words(amount)
    return _signed(decimal_words(amount))


def money_words(amount: Decimal | None, currency: str) -> str:
    """An amount with its currency, parted by a no-break space; empty when there is none."""
    return "" if amount is None else f"{amount_words(amount)}\u00a0{currency}"


def _signed(words: str) -> str:
    """With a minus sign, not a hyphen, before what is less than nothing."""
    return words.replace("-", "−")
