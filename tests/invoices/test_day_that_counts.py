"""Rate, reason and regime are those of the day of supply; of a deposit, of the day it was paid.

Directive 2006/112/EC, articles 63, 65 and 93; CGI 269-1 a. Rates: France 19.6 % until 31 December
2013, 20 % from then on; Germany 16 % from 1 July to 31 December 2020, 19 % before and after.
"""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.invoices.actions import open_credit
from repairs.invoices.codes import Kind
from repairs.invoices.models import Invoice
from repairs.law.rates import same_rate_on
from repairs.payments.doubts import payment_doubts
from repairs.people.house_models import House
from repairs.people.models import Client
from tests import factories
from tests.invoices.laws import problems, remarks

D = Decimal
OLD, NEW = dt.date(2013, 12, 20), dt.date(2014, 1, 8)
SUMMER, AUTUMN = dt.date(2020, 7, 15), dt.date(2021, 1, 15)
BERLIN = {"country": "DE", "vat_id": "DE136695976", "company_number": "", "default_rate_pct": "19"}


def drafted(helene, rate_pct: str, day: dt.date | None, kind: str = Kind.INVOICE, **client: str):
    buyer = Client.objects.first() or factories.payer(by=helene, **client)
    line = factories.hours(category="S" if D(rate_pct) else "E", rate_pct=D(rate_pct))
    draft = factories.draft(buyer, line, by=helene, kind=kind)
    draft.delivery_on = day
    draft.save()
    return draft


@pytest.mark.parametrize(
    ("rate_pct", "day", "says"),
    [
        ("19.6", OLD, ""),
        ("20", OLD, "20 % is no rate of VAT in France on that day"),
        ("20", NEW, ""),
        ("19.6", NEW, "19.6 % is no rate of VAT in France on that day"),
        ("20", None, ""),
    ],
)
def test_work_bears_the_rate_of_the_day_on_which_it_was_done(helene, rate_pct, day, says):
    factories.billing_house()
    assert says in problems(drafted(helene, rate_pct, day))
    assert bool(says) == bool(problems(drafted(helene, rate_pct, day)))


@pytest.mark.parametrize(
    ("rate_pct", "day", "is_right"),
    [("16", SUMMER, True), ("19", SUMMER, False), ("19", AUTUMN, True), ("16", AUTUMN, False)],
)
def test_the_german_summer_of_2020_bears_sixteen(helene, rate_pct, day, is_right):
    factories.billing_house(**BERLIN)
    said = problems(drafted(helene, rate_pct, day, country="DE"))
    assert ("is no rate of VAT in Germany" not in said) is is_right


def test_a_deposit_bears_the_rate_of_the_day_on_which_it_was_paid(helene):
    factories.billing_house()

    def said(rate_pct: str, day: dt.date | None) -> str:
        return problems(drafted(helene, rate_pct, day, Kind.DEPOSIT))

    assert said("19.6", OLD) == said("20", NEW) == said("20", None) == ""
    assert "20 % is no rate of VAT" in said("20", OLD)
    assert "19.6 % is no rate of VAT" in said("19.6", None)


def test_a_deposit_says_when_it_was_paid_on_page_and_paper(client, helene):
    factories.billing_house()
    draft = drafted(helene, "20", dt.date(2026, 11, 3), Kind.DEPOSIT)
    client.force_login(helene)

    page = client.get(reverse("invoices:draft", args=[draft.pk])).text
    preview = client.get(reverse("invoices:issue", args=[draft.pk])).text
    invoice = factories.issued(draft, by=helene)
    content = invoice.paper.data["content"]

    assert "Paid on" in page
    assert "Empty: not paid yet." in page
    assert content["paid_on"] == "3 November 2026"
    assert content["delivery_on"] == ""
    assert "<dt>Paid on</dt>" in preview


def test_a_deposit_is_not_paid_on_a_day_to_come(helene):
    factories.billing_house()
    ahead = timezone.localdate() + dt.timedelta(days=2)
    assert "is to come. Leave it empty" in problems(drafted(helene, "20", ahead, Kind.DEPOSIT))


def test_a_deposit_paid_after_its_rate_ended_is_asked_about(helene):
    factories.billing_house()
    deposit = factories.issued(drafted(helene, "19.6", OLD, Kind.DEPOSIT), by=helene)

    assert payment_doubts(deposit, D("10"), "30", OLD) == []
    (said,) = payment_doubts(deposit, D("10"), "30", NEW)
    assert said.startswith("19.6 % is no rate of VAT in France on that day")
    assert said.endswith("credit this one and issue it anew.")


def test_the_balance_takes_the_new_rate_and_deducts_the_deposit_at_the_old_one(helene):
    """19.6 % on the deposit of 2013, 20 % on the balance of 2014, as practised then."""
    factories.billing_house()
    deposit = factories.issued(drafted(helene, "19.6", OLD, Kind.DEPOSIT), by=helene)
    final = drafted(helene, "20", NEW)
    final.deposits.set([deposit])

    invoice = factories.issued(final, by=helene)

    assert deposit.gross == D("416.21")  # 348.00 and 68.208
    assert (invoice.gross, invoice.due) == (D("417.60"), D("1.39"))


@pytest.mark.parametrize("kind", [Kind.INVOICE, Kind.DEPOSIT])
def test_a_credit_note_follows_what_it_corrects(helene, kind):
    factories.billing_house()
    invoice = factories.issued(drafted(helene, "19.6", OLD, kind), by=helene)
    note = open_credit(invoice, by=helene, at=timezone.now())
    note.note = "Agreed otherwise."
    note.save()

    assert [line.rate_pct for line in note.lines.all()] == [D("19.6")]
    assert problems(note) == ""
    assert factories.issued(note, by=helene).gross == D("416.21")


def test_what_was_done_before_the_regime_changed_stays_under_the_old_one(helene):
    since = dt.date(2026, 10, 1)
    factories.billing_house(vat_regime="normal", vat_regime_since=since)

    before, after = since - dt.timedelta(days=1), since
    assert problems(drafted(helene, "0", before)) == ""
    assert "may charge no VAT" in problems(drafted(helene, "20", before))
    assert problems(drafted(helene, "20", after)) == ""
    assert "this one charges VAT" in problems(drafted(helene, "0", after))


def test_and_so_it_does_the_other_way_round(helene):
    since = dt.date(2026, 10, 1)
    house = factories.billing_house(vat_regime="small_business", vat_regime_since=since)

    assert house.pays_vat_on(since - dt.timedelta(days=1))
    assert not house.pays_vat_on(since)
    assert problems(drafted(helene, "20", dt.date(2026, 9, 30))) == ""
    assert "may charge no VAT" in problems(drafted(helene, "20", since))


def test_the_rates_beside_a_draft_are_those_of_its_day(client, helene):
    factories.billing_house()
    client.force_login(helene)
    old = client.get(reverse("invoices:draft", args=[drafted(helene, "19.6", OLD).pk])).text
    assert "19.60 % (standard)" in old or "19.6 % (standard)" in old
    assert "20 % (standard)" not in old


def test_the_usual_rate_of_another_day_is_not_odd(helene):
    factories.billing_house()
    assert same_rate_on("FR", D(20), OLD) == D("19.6")
    assert same_rate_on("DE", D(19), SUMMER) == D(16)
    assert same_rate_on("XX", D(7), SUMMER) == D(7)
    assert remarks(drafted(helene, "19.6", OLD)) == ""


def test_the_house_says_since_when(client, helene):
    factories.billing_house()
    client.force_login(helene)
    page = client.get(reverse("people:house_billing")).text
    assert "What was done before that day is billed under the other regime." in page
    assert House.present().vat_regime_since is None
    assert not Invoice.objects.exists()
