"""Which entries of a client’s account belong together: an invoice, its credit notes, its payments.

Once they cancel to nothing they bear one letter code and the day of the last of them, the columns
EcritureLet and DateLet of article A47 A-1 of the LPF (14th and 15th). A payment that comes later
letters the entries of an earlier year too, so a closed year is told by its entries without them.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from string import ascii_uppercase

from django.db.models import Max

from repairs.invoices.models import Invoice, Payment

SHORTEST = 3


@dataclass(frozen=True)
class Letter:
    """What the settled entries of one invoice bear."""

    code: str
    day: dt.date


def letters() -> dict[int, Letter]:
    """The letter of every invoice on which nothing is left, by the key of the invoice."""
    credited = Invoice.objects.exclude(credits=None).order_by().values_list("credits")
    paid = Payment.objects.of_invoices().order_by().values_list("invoice")
    last_credit = dict(credited.annotate(Max("issued_on")))
    last_payment = dict(paid.annotate(Max("paid_on")))
    found = {}
    for row in Invoice.objects.asking().with_balance().only("issued_on"):
        if not row.balance:
            day = row.issued_on
            last = max(day, last_credit.get(row.pk, day), last_payment.get(row.pk, day))
            found[row.pk] = Letter(letter_code(row.pk), last)
    return found


def letter_code(key: int) -> str:
    """AAB, AAC … AAAB: of the invoice itself, so that no later entry changes it."""
    code = ""
    while key:
        key, place = divmod(key, len(ascii_uppercase))
        code = ascii_uppercase[place] + code
    # Of the key and not in turn: a code that was exported once is never given to other entries.
    return code.rjust(SHORTEST, "A")
