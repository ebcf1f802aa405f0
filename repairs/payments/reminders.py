"""Reminders on paper: three levels, each firmer than the last, with what the law lets one ask."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from typing import Any

from django.utils import timezone, translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from repairs.audit.actions import record
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
from repairs.law.late_payment import laws
from repairs.money import NOTHING, money_words
from repairs.payments.late_charges import charges_received, penalty_until
from repairs.payments.models import LAST_LEVEL, Reminder
from repairs.payments.refusals import ReminderRefusedError
from repairs.people.models import House, User
from repairs.press.actions import issue, propose_seal
from repairs.press.document import Seal, Sheet
from repairs.press.models import Paper

DAYS_TO_ANSWER = {1: 15, 2: 10, 3: 8}


@dataclass(frozen=True, kw_only=True)
class Claim:
    """What is asked for on one day: what is open, the penalty so far, and the fixed fee, less
    what came of these two."""

    level: int
    open_amount: Decimal
    credited: Decimal
    paid: Decimal
    days_late: int
    rate_pct: Decimal | None
    penalty: Decimal
    fee: Decimal
    charges_paid: Decimal

    @property
    def whole(self) -> Decimal:
        return self.open_amount + self.penalty + self.fee - self.charges_paid


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


def claim(invoice: Invoice, day: dt.date) -> Claim:
    """The next reminder that is due on that day.

    Who buys and at which rate the penalty runs is what the issued invoice says, whatever the
    house has set since (Code de commerce, article L441-10 II, from memory).
    Raises ReminderRefusedError when the invoice is paid or not late, or after the third one.
    """
    row = Invoice.objects.with_balance().get(pk=invoice.pk)
    balance = row.balance
    last = invoice.reminders.order_by("-level").first()
    _check(row, balance, last, day)
    level = last.level + 1 if last else 1
    doc = doc_from(row.content)
    firm = level > 1 and doc.buyer.is_business
    rate = _stated_rate(doc) if firm else None
    interest = penalty_until(row, rate, day) if rate else NOTHING
    law = laws().get(doc.seller.country, {})
    fee = Decimal(law.get("fee", "0.00")) if firm else NOTHING
    return Claim(
        level=level,
        open_amount=balance,
        credited=row.credited,
        paid=row.paid,
        days_late=(day - row.due_on).days,
        rate_pct=rate,
        penalty=interest,
        fee=fee,
        charges_paid=min(charges_received(row).whole, interest + fee),
    )


def _stated_rate(doc: InvoiceDoc) -> Decimal | None:
    """The seller's own rate; none where the invoice does not state it."""
    return doc.penalty_rate_pct if doc.penalty_words else None


def _check(invoice: Invoice, balance: Decimal, last: Reminder | None, day: dt.date) -> None:
    if invoice.is_credit or balance <= 0:
        raise ReminderRefusedError(why=_("nothing is left to pay on it."))
    if day <= invoice.due_on:
        why = _("it is due on %(day)s only.") % {"day": day_words(invoice.due_on)}
        raise ReminderRefusedError(why=why)
    if last is not None and last.level >= LAST_LEVEL:
        why = _("three were issued. What comes next is a matter for a court or a collector.")
        raise ReminderRefusedError(why=why)
    if last is not None and last.issued_on >= day:
        raise ReminderRefusedError(why=_("one was issued today already."))


def reminder_sheet(
    invoice: Invoice, asked: Claim, *, made_at: dt.datetime, seal: Seal | None = None
) -> Sheet:
    with translation.override(invoice.client.language):
        number = {"level": asked.level, "number": invoice.number}
        return Sheet(
            kind=Paper.Kind.REMINDER,
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
        # d’exécution, article L111-8, from memory
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


def _rate_words(law: Mapping[str, Any], doc: InvoiceDoc, says_rate: bool) -> str:
    """The rate of the invoice, or the one that holds where the house had set none; an invoice of
    the time before rates were kept as figures has it in its words only."""
    rate_pct = _stated_rate(doc)
    if rate_pct is not None:
        return _("%(rate)s %% a year") % {"rate": decimal_words(rate_pct)}
    return in_language(law["usual_rate"]) if says_rate else _("the rate that our invoice states")


def issue_reminder(invoice: Invoice, *, by: User, at: dt.datetime) -> Reminder:
    """Issue the next reminder of the invoice on paper."""
    day = timezone.localtime(at).date()
    asked = claim(invoice, day)
    subject = f"{invoice.log_key}:{asked.level}"
    seal = propose_seal(Paper.Kind.REMINDER, subject, by=by, at=at)
    sheet = reminder_sheet(invoice, asked, made_at=at, seal=seal)
    paper = issue(sheet, by=by, also=partial(_keep, invoice, asked, by, at))
    return paper.reminder


def _keep(invoice: Invoice, asked: Claim, by: User, at: dt.datetime, paper: Paper) -> None:
    """Inside the transaction of the paper: what is claimed must still be so."""
    Invoice.objects.select_for_update().get(pk=invoice.pk)
    day = timezone.localtime(at).date()
    if claim(invoice, day) != asked:
        raise ReminderRefusedError(why=_("a payment was noted meanwhile. Look again."))
    Reminder.objects.create(
        invoice=invoice,
        level=asked.level,
        open_amount=asked.open_amount,
        penalty=asked.penalty,
        fee=asked.fee,
        paper=paper,
        issued_on=day,
    )
    record(by, "invoice.reminded", invoice, at=at, level=asked.level)
