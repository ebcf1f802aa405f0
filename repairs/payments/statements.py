"""The statement of a client's account, on paper: every movement, and what is open by age."""

from __future__ import annotations

import datetime as dt
from contextlib import suppress
from dataclasses import dataclass
from functools import partial

from django.utils import timezone, translation
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from repairs.invoices.compile import (
    Row,
    day_words,
    letterhead,
    postal_lines,
    seller_rows,
    transfer_rows,
)
from repairs.invoices.parties import seller_party
from repairs.money import amount_words, money_words
from repairs.payments.open_items import AccountLine, account, ageing
from repairs.payments.paper_kinds import STATEMENT
from repairs.people.house_models import House
from repairs.people.models import Client, User
from repairs.press.actions import issue, propose_seal
from repairs.press.document import Seal, Sheet
from repairs.press.models import Paper
from repairs.press.refusals import PreviewOutdatedError

TRIES = 3


@dataclass(frozen=True, kw_only=True)
class StatementPaper:
    """The body of a statement of account; amounts in the words of its language."""

    to: tuple[str, ...]
    day: str
    label: str
    amount: str
    lines: tuple[tuple[str, str, str, str, str], ...]
    open_items: tuple[tuple[str, str, str, str], ...]
    pay_rows: tuple[Row, ...]
    seller: tuple[Row, ...]


def statement_sheet(
    client: Client, *, language: str, made_at: dt.datetime, seal: Seal | None = None
) -> Sheet:
    """The account of a client up to the day of the paper; without a seal it is a preview."""
    day = timezone.localtime(made_at).date()
    with translation.override(language):
        return Sheet(
            kind=STATEMENT,
            template="payments/statement_of_account.html",
            subject=subject_of(client),
            language=language,
            title=_("Statement of account, %(day)s") % {"day": day_words(day)},
            reference=client.name,
            house=letterhead(House.present().country, client.country),
            made_at=made_at,
            seal=seal,
            body=_body(client, day),
        )


def subject_of(client: Client) -> str:
    """How papers name the client whom they are about."""
    return f"client:{client.pk}"


def _body(client: Client, day: dt.date) -> StatementPaper:
    house, aged = House.present(), ageing(day, client)
    in_favour = aged.balance < 0
    return StatementPaper(
        to=postal_lines(client, house),
        day=day_words(day),
        label=_("In your favour") if in_favour else _("Left to pay"),
        amount=money_words(aged.amount, house.currency),
        lines=tuple(_line(line) for line in account(client, day)),
        open_items=tuple(
            (
                item.invoice.number,
                day_words(item.invoice.due_on),
                capfirst(item.column_label),
                amount_words(item.balance),
            )
            for item in aged.items
        ),
        pay_rows=transfer_rows(house.iban, house.bic, client.name) if aged.balance > 0 else (),
        seller=seller_rows(seller_party(house, names_vat=house.pays_vat)),
    )


def _line(line: AccountLine) -> tuple[str, str, str, str, str]:
    return (
        day_words(line.day),
        capfirst(line.words),
        amount_words(line.owed) if line.owed else "",
        amount_words(line.paid) if line.paid else "",
        amount_words(line.balance),
    )


def issue_statement(client: Client, *, language: str, by: User, at: dt.datetime) -> Paper:
    """Issue the statement as it stands; a later one replaces it as its next version.

    Nobody looks at a preview of it first: so of two who issue one at once the second has theirs
    printed anew, as the version after the first one's. Raises PreviewOutdatedError only when others
    were faster every time.
    """
    for _time in range(TRIES - 1):
        with suppress(PreviewOutdatedError):
            return _issue(client, language, by, at)
    return _issue(client, language, by, at)


def _issue(client: Client, language: str, by: User, at: dt.datetime) -> Paper:
    seal = propose_seal(STATEMENT, subject_of(client), by=by, at=at)
    sheet = statement_sheet(client, language=language, made_at=at, seal=seal)
    return issue(sheet, by=by, hold=partial(_hold, client))


def _hold(client: Client) -> None:
    # Who writes an invoice or a payment of the client names the row and need not wait.
    Client.objects.select_for_update(no_key=True).get(pk=client.pk)
