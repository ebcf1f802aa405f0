"""How much may be taken in cash; French and Belgian law, each with its source."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from django.utils.translation import gettext as _

from repairs.einvoice.document import InvoiceDoc, Party
from repairs.money import money_words
from repairs.storage.fixtures import read_fixture


@dataclass(frozen=True, kw_only=True)
class CashLimit:
    """The most that a trader may take in cash for one debt, and from a private visitor."""

    most: Decimal
    most_of_visitors: Decimal
    currency: str
    source: str

    def most_from(self, buyer: Party, home: str) -> Decimal:
        """The most that this buyer may pay in cash, in the house's currency."""
        # A private person whose tax home is abroad may pay far more in cash than a neighbour (in
        # France 15,000 and not 1,000 euros); the fixture names the source of each.
        is_visitor = buyer.country != home and not buyer.is_business
        return self.most_of_visitors if is_visitor else self.most


@cache
def cash_limit(country: str) -> CashLimit | None:
    """None where the law names no limit, or none is known here."""
    row = read_fixture("books/cash.json").get(country)
    if row is None:
        return None
    return CashLimit(
        most=Decimal(row["most"]),
        most_of_visitors=Decimal(row["most_of_visitors"]),
        currency=row["currency"],
        source=row["source"],
    )


def _cash(doc: InvoiceDoc, amount: Decimal) -> list[str]:
    limit = cash_limit(doc.seller.country)
    # The law names a sum in its own money; to hold francs against euros would need a rate of that
    # day.
    if limit is None or limit.currency != doc.currency:
        return []
    most = limit.most_from(doc.buyer, doc.seller.country)
    if amount <= most:
        return []
    words = _("%(sum)s in cash is above what the law allows, %(most)s (%(source)s).") % {
        "sum": money_words(amount, doc.currency),
        "most": money_words(most, doc.currency),
        "source": limit.source,
    }
    return [words]
