"""The words proposed for a message: what is enclosed, what came, and what is left to pay."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from django.utils import timezone, translation
from django.utils.translation import gettext as _

from repairs.invoices.compile import day_words
from repairs.invoices.models import Invoice
from repairs.money import NOTHING, money_words
from repairs.payments.late_charges import charges_left, charges_received
from repairs.payments.paper_kinds import REMINDER
from repairs.people.house_models import House
from repairs.press.models import Paper


def covering_words(invoice: Invoice, paper: Paper) -> dict[str, str]:
    """Address, subject and text, in the language of the client."""
    house = House.present()
    with translation.override(invoice.client.language):
        regards = _("With kind regards")  # xgettext does not look inside an f-string
        paragraphs = (
            _("Good day,"),
            " ".join([_enclosed(invoice, paper), *_standing(invoice, paper)]),
            f"{regards}\n{house.name}",
        )
    return {
        "address": invoice.client.email,
        "subject": f"{paper.title}, {house.name}",
        "text": "\n\n".join(paragraphs),
    }


def _enclosed(invoice: Invoice, paper: Paper) -> str:
    """A reminder asks for a sum of its own, which the letter gives."""
    if paper.kind == REMINDER:
        return _("please find enclosed: %(what)s.") % {"what": paper.title}
    return _("please find enclosed: %(what)s, for %(amount)s.") % {
        "what": paper.title,
        "amount": money_words(invoice.due, invoice.currency),
    }


def _standing(invoice: Invoice, paper: Paper) -> Iterator[str]:
    """What was paid and credited, and what is left; nothing of it on a credit note.

    With a reminder it is the sum of that letter, less what came since.
    """
    if invoice.is_credit:
        return
    row = Invoice.objects.with_balance().get(pk=invoice.pk)
    came, charges = _charges(invoice, paper)
    paid, left = row.paid + came, row.balance + charges
    if paid > 0:
        yield _("We have received %(amount)s.") % _amount(row, paid)
    if row.credited:
        yield _("%(amount)s was credited.") % _amount(row, row.credited)
    if charges and left > 0:
        yield _("%(amount)s is still to be paid, late charges included.") % _amount(row, left)
    elif left > 0:
        yield _left(row)
    elif left < 0:
        yield _("%(amount)s is in your favour.") % _amount(row, -left)
    else:
        yield _("Nothing is left to pay.")


def _charges(invoice: Invoice, paper: Paper) -> tuple[Decimal, Decimal]:
    """Late charges that came and that are left, where the enclosed letter asks for any."""
    if paper.kind != REMINDER or not paper.reminder.asks_charges:
        return NOTHING, NOTHING
    return charges_received(invoice).whole, charges_left(invoice, paper.reminder).whole


def _left(row: Invoice) -> str:
    """The day is named while it has not passed, the sum when it is not the whole."""
    said = {"day": day_words(row.due_on), **_amount(row, row.balance)}
    is_late, is_whole = row.due_on < timezone.localdate(), row.balance == row.due
    if is_late:
        return _("%(amount)s is still to be paid.") % said
    if is_whole:
        return _("It is to be paid by %(day)s.") % said
    return _("%(amount)s is to be paid by %(day)s.") % said


def _amount(row: Invoice, amount: Decimal) -> dict[str, str]:
    return {"amount": money_words(amount, row.currency)}
