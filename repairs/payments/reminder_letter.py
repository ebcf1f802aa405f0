"""The words of a reminder: what each level says, which sums it names, which law it quotes."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.utils import timezone, translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from repairs.einvoice.document import InvoiceDoc
from repairs.einvoice.frozen import doc_from
from repairs.invoices.compile import (
    Row,
    day_words,
    letterhead,
    postal_lines,
    seller_rows,
    transfer_rows,
)
from repairs.invoices.models import Invoice
from repairs.invoices.parties import seller_party
from repairs.language.text import decimal_words, in_language
from repairs.law.late_payment import LatePayment, laws
from repairs.money import money_words
from repairs.payments.claims import Claim, stated_rate
from repairs.payments.models import LAST_LEVEL
from repairs.payments.paper_kinds import REMINDER
from repairs.people.house_models import House
from repairs.press.document import Seal, Sheet

DAYS_TO_ANSWER = {1: 15, 2: 10, 3: 8}


@dataclass(frozen=True, kw_only=True)
class ReminderPaper:
    """A letter about one invoice."""

    level: int
    to: tuple[str, ...]
    written_on: str
    opening: str
    amount: str
    pay_by: str
    rows: tuple[Row, ...]
    pay_rows: tuple[Row, ...]
    law: tuple[str, ...]
    seller: tuple[Row, ...]


def reminder_sheet(
    invoice: Invoice, asked: Claim, *, made_at: dt.datetime, seal: Seal | None = None
) -> Sheet:
    """The letter in the language of the client; without a seal it is a preview."""
    with translation.override(invoice.client.language):
        number = {"level": asked.level, "number": invoice.number}
        return Sheet(
            kind=REMINDER,
            template="payments/reminder.html",
            subject=f"{invoice.log_key}:{asked.level}",
            language=invoice.client.language,
            title=_("Reminder %(level)s, invoice %(number)s") % number,
            reference=invoice.client.name,
            house=letterhead(House.present().country, invoice.client.country),
            made_at=made_at,
            seal=seal,
            body=_body(invoice, asked, timezone.localtime(made_at).date()),
        )


def _body(invoice: Invoice, asked: Claim, day: dt.date) -> ReminderPaper:
    client, currency, house = invoice.client, invoice.currency, House.present()
    doc = doc_from(invoice.content)
    return ReminderPaper(
        level=asked.level,
        to=postal_lines(client, house),
        written_on=day_words(day),
        opening=_opening(asked.level, is_business=doc.buyer.is_business),
        amount=money_words(asked.whole, currency),
        pay_by=day_words(day + dt.timedelta(days=DAYS_TO_ANSWER[asked.level])),
        rows=_rows(invoice, asked),
        pay_rows=transfer_rows(house.iban, house.bic, invoice.number),
        law=_law(doc, asked, says_rate="penalty_rate_pct" in invoice.content),
        seller=seller_rows(seller_party(house, names_vat=house.pays_vat)),
    )


def _opening(level: int, *, is_business: bool) -> str:
    if level == LAST_LEVEL and not is_business:
        # without a title the costs fall on the creditor: Code des procédures civiles
        # d’exécution, article L111-8, not verified
        return _(
            "Our two reminders had no answer. We give you formal notice to pay the sum below by "
            "the date given; after it we shall claim it by the ways of law."
        )
    return (
        _(
            "Our invoice below has passed its date. It may have slipped your notice: please pay "
            "what is open. If your payment is on its way, take this letter as void."
        ),
        _(
            "In spite of our first reminder our invoice below is still not paid. Please pay what "
            "is open by the date given, or tell us what stands in the way."
        ),
        _(
            "Our two reminders had no answer. We give you formal notice to pay the sum below by "
            "the date given; after it we shall claim it by the ways of law, at your expense."
        ),
    )[level - 1]


def _rows(invoice: Invoice, asked: Claim) -> tuple[Row, ...]:
    """From the invoice down to what is asked for, which stands last."""
    currency = invoice.currency
    late = ngettext("%(days)s day late", "%(days)s days late", asked.days_late)
    late %= {"days": asked.days_late}
    rows = [
        (_("Invoice"), f"{invoice.number}, {date_format(invoice.issued_on, 'DATE_FORMAT')}"),
        (_("Was due on"), f"{day_words(invoice.due_on)} ({late})"),
        (_("Amount of the invoice"), money_words(invoice.due, currency)),
    ]
    for label, amount in ((_("Credited"), asked.credited), (pgettext("sum", "Paid"), asked.paid)):
        if amount:
            rows.append((label, f"−{money_words(amount, currency)}"))
    rows.append((_("Left to pay"), money_words(asked.open_amount, currency)))
    if asked.rate_pct:
        words = _("Penalty at %(rate)s %% a year") % {"rate": decimal_words(asked.rate_pct)}
        rows.append((words, money_words(asked.penalty, currency)))
    if asked.fee:
        rows.append((_("Fixed recovery fee"), money_words(asked.fee, currency)))
    if asked.charges_paid:
        words = _("Received of the penalty and the fee")
        rows.append((words, f"−{money_words(asked.charges_paid, currency)}"))
    if asked.whole != asked.open_amount:
        rows.append((_("To be paid"), money_words(asked.whole, currency)))
    return tuple(rows)


def _law(doc: InvoiceDoc, asked: Claim, *, says_rate: bool) -> tuple[str, ...]:
    """Businesses are reminded of penalty and fee in the first letter and asked for them from the
    second on; a private person hears of the notice in the last."""
    is_business, law = doc.buyer.is_business, laws().get(doc.seller.country)
    if law is None or (not is_business and asked.level < LAST_LEVEL):
        return ()
    if not is_business:
        return (in_language(law["consumer"]),)
    if asked.level > 1:
        return (in_language(law["business"]), *_unreckoned(doc, asked))
    recall = in_language(law.get("recall"))
    return (recall.format(rate=_rate_words(law, doc, says_rate)),) if recall else ()


def _unreckoned(doc: InvoiceDoc, asked: Claim) -> tuple[str, ...]:
    """Where the invoice gives no rate in figures, its own words say which one runs."""
    if asked.rate_pct or not doc.penalty_words:
        return ()
    words = _("Our invoice says: “%(words)s” The sum above does not include this penalty.")
    return (words % {"words": doc.penalty_words},)


def _rate_words(law: LatePayment, doc: InvoiceDoc, says_rate: bool) -> str:
    """The rate of the invoice, or the one that holds where the house had set none; an invoice of
    the time before rates were kept as figures has it in its words only."""
    rate_pct = stated_rate(doc)
    if rate_pct is not None:
        return _("%(rate)s %% a year") % {"rate": decimal_words(rate_pct)}
    return in_language(law["usual_rate"]) if says_rate else _("the rate that our invoice states")
