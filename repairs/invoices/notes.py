"""What an invoice says below its sums: the house's own note, its deposits, what the law wants."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from repairs.einvoice.document import OF_PAYING, PENALTY, Note
from repairs.invoices.facts import Facts, InvoiceLeft
from repairs.language.text import decimal_words
from repairs.law.mentions import debits_words
from repairs.money import money_words, total

NOTE = ""  # a note without a code, for people alone


def notes_of(facts: Facts) -> Iterator[Note]:
    """In the order in which they are printed, in the language that is active."""
    if facts.draft.note:
        yield Note(code=NOTE, text=facts.draft.note)
    for deposit in facts.deposits:
        yield Note(code=NOTE, text=_deposit_words(deposit))
    # PMT, PMD and AAB are wanted by the French rule files (FR-CTC) on every invoice. Peppol takes
    # one note only (R002): a copy for it would have to join them.
    for mention in facts.mentions:
        note = Note(code=mention.code, text=mention.text[facts.draft.language])
        yield _of_credit(note) if facts.is_credit else _own_rate(note, facts)
    # CGI annex II, 242 nonies A I-11° bis: the client may deduct on the day of the invoice only if
    # the paper says that the option was taken.
    if facts.house.pays_on_debits and not facts.is_credit:
        yield Note(code=NOTE, text=debits_words())


def _of_credit(note: Note) -> Note:
    """Nothing is paid late of a credit note; the French rules want the three codes all the same."""
    if note.code not in OF_PAYING:
        return note
    return Note(code=note.code, text=_("Not applicable to a credit note."))


def _own_rate(note: Note, facts: Facts) -> Note:
    """The house's own penalty rate in the place of the usual sentence; between businesses only."""
    rate_pct = facts.house.penalty_rate_pct
    if note.code != PENALTY or rate_pct is None or not facts.client.is_business:
        return note
    text = _(
        "Late payment penalty: %(rate)s %% a year, due from the day after the due date without a "
        "reminder."
    ) % {"rate": decimal_words(rate_pct)}
    return Note(code=PENALTY, text=text)


def _deposit_words(deposit: InvoiceLeft) -> str:
    """The VAT of a deposit was invoiced with it: the paper must say so, or it seems owed twice.

    That a final invoice names its deposit invoices: CGI art. 289 I-1-c; BOI-TVA-DECLA-30-20-10-10.
    """
    invoice = deposit.invoice
    return _(
        "Deducted: deposit invoice %(number)s of %(day)s, %(net)s before VAT and %(vat)s VAT, "
        "which were invoiced with it."
    ) % {
        "number": invoice.number,
        "day": date_format(invoice.issued_on, "DATE_FORMAT"),
        "net": money_words(total(group.base for group in deposit.groups), invoice.currency),
        "vat": money_words(total(group.tax for group in deposit.groups), invoice.currency),
    }
