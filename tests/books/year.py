"""A year that was lived once, for all tests of the books: two rates, a deposit, a credit note."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction
from django.test import override_settings
from django.utils import timezone

from repairs.books.books import books
from repairs.invoices.actions import open_credit
from repairs.invoices.models import Invoice
from repairs.money import total
from repairs.payments.actions import reverse_payment
from repairs.people.models import Client, User
from tests import factories

YEAR = 2025
AT = dt.datetime(YEAR, 3, 10, 9, 0, tzinfo=dt.UTC)


def on(days: int) -> dt.datetime:
    return AT + dt.timedelta(days=days)


@dataclass(frozen=True)
class Year:
    """A year that is made once for all tests here; each of them is rolled back to it."""

    number: int
    by: User
    payer: Client


@pytest.fixture(scope="module")
def year_once(django_db_setup, django_db_blocker, tmp_path_factory) -> Iterator[Year]:
    """Two rates, a discount, a deposit, a credit note, payments and a reversal."""
    media = override_settings(MEDIA_ROOT=tmp_path_factory.mktemp("year"))
    with django_db_blocker.unblock(), media, transaction.atomic():
        factories.billing_house()
        by = factories.person("odette", "principal")
        yield _lived(by, factories.payer(by=by))
        transaction.set_rollback(True)


def _lived(by: User, payer: Client) -> Year:
    firm = factories.payer(by=by, name="Musée de Valbrune", company_number="356000000")
    book = factories.sold("=Method", "18.95", category="S", rate_pct=Decimal("5.5"))
    line = factories.sold("Deposit", "83.33", sort="free")
    deposit = factories.issued(factories.draft(payer, line, by=by, kind="386"), by=by, at=on(0))
    final = factories.draft(payer, factories.hours(), book, by=by, discount_pct=Decimal("3.33"))
    final.deposits.add(deposit)
    invoice = factories.issued(final, by=by, at=on(1))
    more = factories.draft(firm, factories.hours("1.1", "47.77"), by=by)
    other = factories.issued(more, by=by, at=on(100))
    part = open_credit(invoice, by=by, at=on(120))
    part.lines.filter(rate_pct=20).update(quantity=Decimal("1.25"))
    factories.issued(part, by=by, at=on(120))
    factories.payment(deposit, "100.00", by=by, on=on(2).date())
    wrong = factories.payment(other, "63.00", by=by, on=on(101).date(), means="10")
    reverse_payment(wrong, on(102).date(), by=by, at=timezone.now())
    return Year(YEAR, by, payer)


@pytest.fixture
def lived(year_once, db) -> Year:
    return year_once


@pytest.fixture
def year(lived: Year) -> int:
    return lived.number


@pytest.fixture
def by(lived: Year) -> User:
    return lived.by


@pytest.fixture
def odette(client, by) -> Any:
    client.force_login(by)
    return client


def whole(year: int):
    return books(dt.date(year, 1, 1), dt.date(year, 12, 31))


def printed(year: int) -> Decimal:
    """What the papers themselves say, credit notes taken off."""
    rows = Invoice.objects.filter(issued_on__year=year)
    return total(-row.gross if row.is_credit else row.due for row in rows)
