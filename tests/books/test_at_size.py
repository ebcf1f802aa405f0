"""1,500 papers in a year, 1,100 of them with a reversed payment: all pages and files open.

Beside it a year of three of each: whatever is read asks the database as often for both.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection, transaction
from django.test import override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from repairs.books.books import books
from repairs.books.closing import close_year
from repairs.books.exports import fec, sales_csv, vat_csv
from repairs.books.lettering import letters
from repairs.payments.open_items import account, ageing
from repairs.payments.statements import statement_sheet
from repairs.people.models import Client, User
from tests import factories
from tests.books.many import full_year

QUIET, BUSY = 2024, 2025
FEW, MANY, OTHERS = 3, 1100, 200  # invoices; of deposits and of credit notes each
LATER = dt.date(2026, 6, 1)
LATER_AT = dt.datetime(2026, 6, 1, 9, 0, tzinfo=dt.UTC)
DUE, BACK = Decimal("417.60"), Decimal("72.00")  # 7.25 h and 1.25 h at 48.00, with 20 %
DEPOSIT = Decimal("100.00")  # 83.33 with 20 %


@dataclass(frozen=True)
class Lives:
    by: User
    few: Client
    many: Client


@pytest.fixture(scope="module")
def lives_once(django_db_setup, django_db_blocker, tmp_path_factory) -> Iterator[Lives]:
    media = override_settings(MEDIA_ROOT=tmp_path_factory.mktemp("many"))
    with django_db_blocker.unblock(), media, transaction.atomic():
        factories.billing_house()
        by = factories.person("odette", "principal")
        few, many = (factories.payer(by=by, name=name) for name in ("Quiet", "Busy"))
        full_year(QUIET, FEW, FEW, few, by=by)
        full_year(BUSY, MANY, OTHERS, many, by=by)
        yield Lives(by, few, many)
        transaction.set_rollback(True)


@pytest.fixture
def lives(lives_once, db) -> Lives:
    return lives_once


@pytest.fixture
def odette(client, lives) -> Any:
    client.force_login(lives.by)
    return client


def asked(read: Callable[[], object]) -> int:
    with CaptureQueriesContext(connection) as queries:
        read()
    return len(queries)


def days(year: int) -> tuple[dt.date, dt.date]:
    return dt.date(year, 1, 1), dt.date(year, 12, 31)


def test_the_french_layout_of_a_busy_year_asks_no_more_than_that_of_a_quiet_one(lives):
    assert asked(lambda: fec(BUSY)) == asked(lambda: fec(QUIET)) > 0


@pytest.mark.share(2)
@pytest.mark.parametrize(
    ("page", "said"),
    [
        ("/papers/money/books/?period={}", "agree with the invoices to the cent"),
        ("/papers/money/books/{}/closing/", "for good"),
    ],
)
def test_the_pages_of_a_busy_year_ask_no_more_than_those_of_a_quiet_one(odette, page, said):
    found: dict[int, Any] = {}

    def opened(year: int) -> None:
        found[year] = odette.get(page.format(year))

    opened(QUIET)  # what is read once for all years is read now
    assert asked(lambda: opened(BUSY)) == asked(lambda: opened(QUIET))
    assert found[BUSY].status_code == 200
    assert said in found[BUSY].text


def test_the_journal_and_the_tables_of_vat_of_a_busy_year_are_right_to_the_cent(lives):
    period = books(*days(BUSY))
    journal, vat = sales_csv(period).decode(), vat_csv(period).decode()

    assert len(period.sales) == MANY + OTHERS + OTHERS == 1500
    assert period.gross == MANY * DUE + OTHERS * DEPOSIT - OTHERS * BACK
    assert period.received_net + period.received_tax == MANY * DUE
    assert len(journal.splitlines()) == 1 + 1500
    assert len(vat.splitlines()) == 1 + len(period.vat) + len(period.received) == 3


def test_every_settled_invoice_of_a_busy_year_bears_a_letter(lives):
    found: dict[int, Any] = {}

    assert asked(lambda: found.update(letters())) == 3
    assert len(found) == MANY - OTHERS  # the others were paid and then credited in part


def test_a_busy_year_is_closed(lives):
    row = close_year(BUSY, by=lives.by, at=LATER_AT)

    assert row.totals["papers"] == 1500
    assert row.totals["gross"] == str(MANY * DUE + OTHERS * DEPOSIT - OTHERS * BACK)


def test_the_open_items_of_a_busy_year(lives):
    assert asked(lambda: ageing(LATER, lives.many)) == asked(lambda: ageing(LATER, lives.few))

    aged = ageing(LATER, lives.many)
    assert (len(aged.late), len(aged.to_pay_back)) == (OTHERS, OTHERS)
    assert aged.balance == OTHERS * DEPOSIT - OTHERS * BACK


def test_the_statement_of_a_client_with_1500_invoices(odette, lives):
    def opened(client: Client) -> None:
        assert odette.get(reverse("invoices:statement", args=[client.pk])).status_code == 200

    opened(lives.few)
    assert asked(lambda: opened(lives.many)) == asked(lambda: opened(lives.few))
    lines = account(lives.many, LATER)
    assert len(lines) == 1500 + 3 * MANY
    assert lines[-1].balance == OTHERS * DEPOSIT - OTHERS * BACK


def test_the_statement_on_paper_of_a_client_with_1500_invoices(lives):
    sheet = statement_sheet(lives.many, language="en", made_at=LATER_AT)

    assert len(sheet.body.lines) == 1500 + 3 * MANY
    assert len(sheet.body.open_items) == OTHERS + OTHERS


def test_the_page_of_money_of_a_house_with_a_busy_year(odette):
    found: dict[str, Any] = {}

    assert asked(lambda: found.update(page=odette.get(reverse("invoices:money")))) <= 25
    assert len(found["page"].context["late"]) == FEW + OTHERS
