"""What is seldom right: asked about and never refused, since it may have happened."""

from __future__ import annotations

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from repairs.einvoice.document import InvoiceDoc
from repairs.einvoice.totals import totals_of
from repairs.invoices.cash import _cash
from repairs.invoices.codes import Means
from repairs.invoices.facts import Facts
from repairs.language.text import decimal_words
from repairs.law.rates import same_rate_on

# Work is invoiced when it is done. After a year a typed day of delivery is more often last year's
# calendar than a late invoice.
LATE_DAYS = 365
MOST_DAYS_TO_PAY = 60  # between businesses: C. com. L441-10; directive 2011/7/EU, art. 3 (5)


def draft_doubts(facts: Facts, doc: InvoiceDoc) -> list[str]:
    """What is unusual in what a draft would ask for, a sentence each; nothing of a credit note."""
    if doc.is_credit:
        return []
    totals = totals_of(doc)
    found = _cash(doc, totals.due) if doc.payment_means == Means.CASH else []
    found += _rates(facts, doc)
    # A gift or a repair under guarantee needs no invoice: a note on the case says it better.
    if not totals.gross:
        found.append(_("Nothing is to be paid: an invoice for nothing is seldom meant."))
    if doc.delivery_on and (doc.issued_on - doc.delivery_on).days > LATE_DAYS:
        found.append(
            _("It was done on %(day)s, long before it is invoiced. Is that day right?")
            % {"day": date_format(doc.delivery_on, "DATE_FORMAT")}
        )
    if facts.draft.payment_days > MOST_DAYS_TO_PAY and not doc.buyer.is_business:
        found.append(
            _("It gives %(days)s days to pay. Is that meant?") % {"days": facts.draft.payment_days}
        )
    return found


def _rates(facts: Facts, doc: InvoiceDoc) -> list[str]:
    """Lines that bear another rate than the house usually charges."""
    usual = same_rate_on(facts.house.country, facts.house.default_rate_pct, facts.tax_day)
    odd = [line for line in doc.lines if line.rate_pct and line.rate_pct != usual]
    words = _("Line %(number)s bears %(rate)s %%, and not the usual %(usual)s %%. Is that meant?")
    return [
        words
        % {
            "number": line.number,
            "rate": decimal_words(line.rate_pct),
            "usual": decimal_words(usual),
        }
        for line in odd
    ]
