"""What the tests of invoices share: a workshop that may issue, and someone who pays."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal

import pytest
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone

from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.models import Invoice
from repairs.people.house_models import House
from repairs.people.models import Client, User
from tests import factories


@pytest.fixture
def shop(db) -> House:
    """A workshop with all that its invoices need."""
    return factories.billing_house()


@pytest.fixture
def payer(shop: House, helene: User) -> Client:
    return factories.payer(by=helene)


@pytest.fixture
def firm(shop: House, helene: User) -> Client:
    """A business in France."""
    return factories.payer(
        by=helene,
        name="Musée de Valbrune",
        email="musee@example.org",
        phone="",
        company_number="356000000",
        vat_id="FR39356000000",
    )


@pytest.fixture
def draft(payer: Client, helene: User) -> InvoiceDraft:
    """7.25 hours at 48.00: 348.00 before 20 % VAT, 417.60 with it."""
    return factories.draft(payer, by=helene)


@pytest.fixture
def invoice(draft: InvoiceDraft, helene: User) -> Invoice:
    return factories.issued(draft, by=helene)


@pytest.fixture
def later(invoice: Invoice):
    """A moment so many days after the invoice was due."""

    def moment(days: int) -> dt.datetime:
        due = timezone.make_aware(dt.datetime.combine(invoice.due_on, dt.time(12)))
        return due + dt.timedelta(days=days)

    return moment


@pytest.fixture
def pay(client, helene):
    """Types money that came, as the form of an invoice sends it."""
    client.force_login(helene)

    def post(invoice, amount: str, **said):
        words = {"sort": "received", "amount": amount, "means": "30"} | said
        words["paid_on"] = timezone.localdate().isoformat()
        return client.post(reverse("invoices:pay", args=[invoice.number]), words, follow=True)

    return post


Drafted = Callable[..., InvoiceDraft]


@pytest.fixture
def drafted(db, helene: User) -> Drafted:
    """A draft with one line of that category for such a client of such a house."""

    def make(
        category: str, client: dict[str, str], *, sort: str = "hours", **house: str
    ) -> InvoiceDraft:
        factories.billing_house(**house)
        rate = Decimal(20) if category == "S" else Decimal(0)
        line = factories.hours(sort=sort, category=category, rate_pct=rate)
        return factories.draft(factories.payer(by=helene, **client), line, by=helene)

    return make


@pytest.fixture
def held(monkeypatch) -> list[str]:
    """Whose rows were held; SQLite holds the whole database and is not asked to."""
    names: list[str] = []
    plain = QuerySet.select_for_update

    def select_for_update(rows: QuerySet, *said, **more) -> QuerySet:
        names.append(rows.model.__name__)
        return plain(rows, *said, **more)

    monkeypatch.setattr(QuerySet, "select_for_update", select_for_update)
    return names
