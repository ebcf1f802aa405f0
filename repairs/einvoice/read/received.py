"""What stands in an e-invoice that was read, and its sums computed anew."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from repairs.money import NOTHING, rounded, share, total


@dataclass(frozen=True, kw_only=True)
class FiveTotals:
    """BT-106, 109, 110, 112, 115; None where the file does not say."""

    lines_net: Decimal | None
    net: Decimal | None
    vat: Decimal | None
    gross: Decimal | None
    due: Decimal | None


@dataclass(frozen=True, kw_only=True)
class ReadLine:
    """One line (BG-25); amounts before tax, None where the file does not say."""

    number: str
    description: str
    quantity: Decimal | None
    price: Decimal | None
    price_of: Decimal  # so many units cost the price
    taken_off: Decimal  # allowances less charges of the line
    net: Decimal | None
    category: str
    rate_pct: Decimal

    @property
    def expected_net(self) -> Decimal | None:
        """Quantity × price, rounded, less what is taken off; None where either is missing."""
        if self.quantity is None or self.price is None or not self.price_of:
            return None
        return rounded(self.quantity * self.price / self.price_of) - self.taken_off


@dataclass(frozen=True, kw_only=True)
class ReadAmount:
    """An allowance (negative) or a charge of the whole invoice, or the base of a tax group."""

    category: str
    rate_pct: Decimal
    amount: Decimal
    tax: Decimal | None = None
    reason: str = ""
    reason_code: str = ""


@dataclass(frozen=True, kw_only=True)
class ReadInvoice:
    """An e-invoice of either syntax as far as it matters here."""

    syntax: str
    root: str
    guideline: str
    kind: str
    number: str
    issued_on: dt.date | None
    due_on: dt.date | None
    payment_terms: str
    currency: str
    seller: str
    seller_country: str
    buyer: str
    buyer_country: str
    references: tuple[tuple[str, dt.date | None], ...]
    lines: tuple[ReadLine, ...]
    adjustments: tuple[ReadAmount, ...]
    groups: tuple[ReadAmount, ...]
    prepaid: Decimal
    rounding: Decimal
    stated: FiveTotals

    def bases(self) -> dict[tuple[str, Decimal], Decimal]:
        """What lines, allowances and charges come to under each category and rate."""
        bases: dict[tuple[str, Decimal], Decimal] = {}
        for line in self.lines:
            _add(bases, line.category, line.rate_pct, line.net)
        for one in self.adjustments:
            _add(bases, one.category, one.rate_pct, one.amount)
        return bases

    def recomputed(self) -> FiveTotals:
        """From the nets of the lines as they are stated; without lines, from their stated sum."""
        lines_net = total(line.net or NOTHING for line in self.lines)
        net = lines_net + total(one.amount for one in self.adjustments)
        vat = total(share(base, rate_pct) for (_category, rate_pct), base in self.bases().items())
        if not self.lines:
            return self._from_groups()
        return self._five(rounded(lines_net), rounded(net), vat)

    def _from_groups(self) -> FiveTotals:
        """Short profiles have no lines: what is stated of the groups has to do, or of the sums."""
        lines_net, net, vat = self.stated.lines_net, self.stated.net, self.stated.vat
        if self.groups:
            net = total(group.amount for group in self.groups)
            vat = total(share(group.amount, group.rate_pct) for group in self.groups)
        return self._five(lines_net, net, vat)

    def _five(
        self, lines_net: Decimal | None, net: Decimal | None, vat: Decimal | None
    ) -> FiveTotals:
        gross = None if net is None else net + (vat or NOTHING)
        due = None if gross is None else gross - self.prepaid + self.rounding
        return FiveTotals(lines_net=lines_net, net=net, vat=vat, gross=gross, due=due)


def _add(
    bases: dict[tuple[str, Decimal], Decimal],
    category: str,
    rate_pct: Decimal,
    amount: Decimal | None,
) -> None:
    key = (category, rate_pct)
    bases[key] = bases.get(key, NOTHING) + (amount or NOTHING)
