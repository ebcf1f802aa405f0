"""Unusual money is asked about before it is noted; it is never refused, since it may have come."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.invoices.codes import Means
from repairs.invoices.doubts import draft_doubts
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.drafting import document_of
from repairs.invoices.gathering import facts_of
from repairs.payments.doubts import payment_doubts
from repairs.people.house_models import House
from tests import factories


def doubts(draft: InvoiceDraft) -> list[str]:
    facts = facts_of(draft, timezone.now())
    return draft_doubts(facts, document_of(facts, number=""))


@pytest.fixture
def dear(payer, helene):
    """1,200.00 with tax."""
    line = factories.sold("A wheel", "1000.00")
    return factories.issued(factories.draft(payer, line, by=helene), by=helene)


def test_more_than_is_left_is_asked_about_then_noted(pay, dear):
    asked = pay(dear, "1300.00").text

    assert "is more than is left to pay (1,200.00\u00a0EUR)" in asked
    assert not dear.payments.exists()
    pay(dear, "1300.00", sure="on")
    assert dear.payments.get().amount == Decimal("1300.00")


def test_what_is_left_is_noted_at_once(pay, dear):
    pay(dear, "1200.00")

    assert dear.payments.get().amount == Decimal("1200.00")


def test_cash_above_the_limit_is_asked_about_with_its_source(pay, dear):
    """1,000 euros in France: Code monétaire et financier, article D112-3, from memory."""
    asked = pay(dear, "1000.01", means="10").text

    assert "1,000.01\u00a0EUR in cash is above what the law allows, 1,000.00\u00a0EUR" in asked
    assert "D112-3" in asked
    assert not dear.payments.exists()


def test_cash_in_two_parts_is_added_up(dear, helene):
    factories.payment(dear, "600.00", by=helene, means="10")

    assert payment_doubts(dear, Decimal("400.00"), Means.CASH) == []
    assert len(payment_doubts(dear, Decimal("400.01"), Means.CASH)) == 1
    assert payment_doubts(dear, Decimal("600.00"), Means.TRANSFER) == []


def test_a_private_visitor_may_pay_more_in_cash(shop, helene):
    visitor = factories.payer(by=helene, name="Ulla Brandt", country="DE")
    draft = factories.draft(visitor, factories.sold("A wheel", "9000.00"), by=helene, means="10")

    assert doubts(draft) == []


def test_an_invoice_that_asks_for_too_much_cash_is_told(client, payer, helene):
    draft = factories.draft(payer, factories.sold("A wheel", "1000.00"), by=helene, means="10")
    client.force_login(helene)

    for name in ("invoices:draft", "invoices:issue"):
        page = client.get(reverse(name, args=[draft.pk])).text
        assert "in cash is above what the law allows" in page


def test_where_no_limit_is_known_nothing_is_asked(payer, helene):
    House.objects.update(country="GB", currency="GBP")
    draft = factories.draft(payer, factories.sold("A wheel", "9000.00"), by=helene, means="10")

    assert doubts(draft) == []


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"discount_pct": Decimal(100)}, "Nothing is to be paid"),
        ({"delivery_on": dt.date(2020, 1, 1)}, "long before it is invoiced"),
        ({"payment_days": 90}, "90 days to pay. Is that meant?"),
    ],
)
def test_what_is_odd_about_a_draft_is_asked(payer, helene, fields, said):
    (found,) = doubts(factories.draft(payer, by=helene, **fields))

    assert said in found


def test_a_rate_that_is_not_the_usual_one_is_asked_about(payer, helene):
    line = factories.hours(category="S", rate_pct=Decimal(10))

    (found,) = doubts(factories.draft(payer, line, by=helene))

    assert "bears 10 %, and not the usual 20 %" in found
