"""A cent, half a euro, nothing: where a sum is small the same holds as where it is large."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.invoices.models import Invoice, Payment
from repairs.payments.actions import reverse_payment, usual_payment
from repairs.payments.covering import covering_words
from repairs.payments.doubts import payment_doubts
from repairs.payments.late_charges import charges_left
from repairs.payments.open_items import account, ageing, column_of
from repairs.payments.refusals import PaymentRefusedError
from repairs.payments.show import invoice_facts
from tests import factories
from tests.payments.reminding import remind

D = Decimal
DUE = dt.date(2026, 3, 31)


@pytest.mark.parametrize(
    ("balance", "column"),
    [("0.01", "to_30"), ("-0.01", "to_pay_back"), ("0.00", "to_30")],
)
def test_a_cent_is_owed_or_to_be_paid_back_as_any_sum(balance, column):
    assert column_of(DUE, D(balance), DUE + dt.timedelta(days=1)) == column


def test_a_cent_is_proposed_as_it_stands(invoice):
    assert usual_payment(invoice, D("0.01")) == {"sort": "received", "amount": D("0.01")}
    assert usual_payment(invoice, D("-0.01")) == {"sort": "refund", "amount": D("0.01")}


def standing(invoice: Invoice, paper=None) -> str:
    text = covering_words(invoice, paper or invoice.paper)["text"].replace("\u00a0", " ")
    return text.partition("EUR. ")[2].partition("\n")[0]


def test_the_message_says_of_small_sums_what_came_and_is_left(payer, helene):
    payer.language = "en"
    invoice = factories.issued(factories.draft(payer, by=helene, payment_days=0), by=helene)
    day = f"{timezone.localdate().day} {timezone.localdate():%B %Y}"
    said = [standing(invoice)]
    for amount in ("0.60", "416.50", "0.50", "0.70"):
        factories.payment(invoice, amount, by=helene)
        said.append(standing(invoice))

    assert said == [
        f"It is to be paid by {day}.",  # due today is not late yet
        f"We have received 0.60 EUR. 417.00 EUR is to be paid by {day}.",
        f"We have received 417.10 EUR. 0.50 EUR is to be paid by {day}.",
        "We have received 417.60 EUR. Nothing is left to pay.",
        "We have received 418.30 EUR. 0.70 EUR is in your favour.",
    ]


def test_the_message_with_an_earlier_letter_asks_for_the_sum_of_that_one(firm, helene):
    """Letter 2 asked for 417.60, 5.49 and 40.00; letter 3 for 1.37 more."""
    firm.language = "en"
    owed = factories.late(firm, by=helene)
    letters = [remind(owed, helene, days) for days in (0, 10, 20)]

    def said() -> str:
        paper = letters[1].paper
        text = covering_words(owed, paper)["text"].replace("\u00a0", " ")
        return text.partition(f"{owed.number}. ")[2].partition("\n")[0]

    assert said() == "463.09 EUR is still to be paid, late charges included."
    assert charges_left(owed).whole == D("46.86")
    factories.payment(owed, "463.08", by=helene)
    assert said().endswith(" 0.01 EUR is still to be paid, late charges included.")
    factories.payment(owed, "0.01", by=helene)
    assert said().endswith(" Nothing is left to pay.")


def test_cash_is_counted_by_the_cent_and_cash_paid_back_is_not_asked_about(payer, helene):
    """1,000.00 in France: CMF L112-6 and D112-3."""
    draft = factories.draft(payer, factories.hours("30"), by=helene)
    invoice = factories.issued(draft, by=helene)
    factories.payment(invoice, "1000.00", by=helene, means="10")

    assert len(payment_doubts(invoice, D("0.01"), "10")) == 1
    assert payment_doubts(invoice, D("0.01"), "30") == []
    factories.payment(invoice, "200.00", by=helene, means="10")
    assert payment_doubts(invoice, D("-0.50"), "10") == []


# The account ---------------------------------------------------------------------------------


def test_on_one_day_invoices_come_first_and_then_the_payments_as_they_were_noted(firm, helene):
    owed = factories.late(firm, by=helene)
    for days in (0, 10):
        remind(owed, helene, days)
    second = factories.issued(factories.draft(firm, factories.hours("1"), by=helene), by=helene)
    factories.payment(owed, "7.60", by=helene)
    charges = factories.payment(owed, "45.49", by=helene, sort="charges")
    third = factories.issued(factories.draft(firm, factories.hours("2"), by=helene), by=helene)
    wrong = Payment.objects.get(pk=charges.pk)
    reverse_payment(wrong, timezone.localdate(), by=helene, at=timezone.now())

    lines = account(firm, timezone.localdate())

    assert [(line.words.partition(",")[0], line.balance) for line in lines] == [
        (f"invoice {owed.number}", D("417.60")),
        (f"invoice {second.number}", D("475.20")),
        (f"invoice {third.number}", D("590.40")),
        ("received", D("582.80")),
        (f"late charges for {owed.number}", D("628.29")),
        ("late charges received", D("582.80")),
        (f"late charges for {owed.number}", D("537.31")),
        ("entry reversed", D("582.80")),
    ]


def test_the_page_of_an_invoice_tells_its_own_age_and_not_that_of_another(payer, helene):
    noon = timezone.localtime().replace(hour=12)  # days are the house's: summer time may end within
    draft = factories.draft(payer, by=helene)
    old = factories.issued(draft, by=helene, at=noon - dt.timedelta(days=40))  # thirty days to pay
    new = factories.issued(factories.draft(payer, by=helene), by=helene)

    today = timezone.localdate()
    ages = [invoice_facts(one, today)["item"] for one in (old, new)]

    assert [(item.invoice, item.days_late, item.reminded) for item in ages] == [
        (old, 10, 0),
        (new, 0, 0),
    ]
    assert [item.invoice for item in ageing(today).late] == [old]


# Two at once ---------------------------------------------------------------------------------


def test_who_reverses_what_another_just_reversed_is_told_so(invoice, helene):
    """Both had the entry before them while it still stood."""
    noted = factories.payment(invoice, "10.00", by=helene)
    first, second = (
        Payment.objects.select_related("invoice", "reversal").get(pk=noted.pk) for _hand in range(2)
    )
    reverse_payment(first, timezone.localdate(), by=helene, at=timezone.now())

    with pytest.raises(PaymentRefusedError, match="reversed already"):
        reverse_payment(second, timezone.localdate(), by=helene, at=timezone.now())
    assert invoice.payments.count() == 2
