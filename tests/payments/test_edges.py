"""The very cent and the very day at which something else holds, and the one beside it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.invoices.models import Invoice, Payment
from repairs.payments.actions import noted_words, reverse_payment, usual_payment
from repairs.payments.claims import claim
from repairs.payments.doubts import payment_doubts
from repairs.payments.late_charges import Charges, penalty, penalty_until
from repairs.payments.open_items import COLUMNS, Ageing, OpenItem, account, ageing
from repairs.payments.refusals import PaymentRefusedError, ReminderRefusedError
from repairs.payments.reminders import issue_reminder
from repairs.payments.statements import statement_sheet
from tests import factories

D = Decimal


def with_balance(invoice: Invoice) -> Invoice:
    return Invoice.objects.with_balance().get(pk=invoice.pk)


def test_all_that_came_may_be_paid_back_and_not_a_cent_more(invoice, helene):
    factories.payment(invoice, "50.00", by=helene)

    with pytest.raises(PaymentRefusedError, match="Lower the sum"):
        factories.payment(invoice, "-50.01", by=helene)
    factories.payment(invoice, "-50.00", by=helene)
    assert with_balance(invoice).paid == 0


def test_what_came_as_a_deposit_may_be_paid_back_with_the_invoice(payer, helene):
    line = factories.sold("Deposit", "83.33", sort="free")
    asked = factories.draft(payer, line, by=helene, kind="386")
    deposit = factories.issued(asked, by=helene)
    factories.payment(deposit, "100.00", by=helene)
    rest = factories.draft(payer, by=helene)
    rest.deposits.add(deposit)
    final = factories.issued(rest, by=helene)

    with pytest.raises(PaymentRefusedError, match=r"only 100\.00"):
        factories.payment(final, "-100.01", by=helene)
    factories.payment(final, "-100.00", by=helene)


def test_a_reversal_lies_between_its_entry_and_today_and_repeats_how_it_was_paid(payer, helene):
    today = timezone.localdate()
    month_ago = timezone.now() - dt.timedelta(days=30)
    invoice = factories.issued(factories.draft(payer, by=helene), by=helene, at=month_ago)
    yesterday = today - dt.timedelta(days=1)
    wrong = factories.payment(invoice, "10.00", by=helene, on=yesterday, means="20")

    for day, why in ((1, "lies in the future"), (-2, "cannot lie before")):
        with pytest.raises(PaymentRefusedError, match=why):
            reverse_payment(wrong, today + dt.timedelta(days=day), by=helene, at=timezone.now())
    row = reverse_payment(wrong, yesterday, by=helene, at=timezone.now())
    assert (row.means, row.paid_on, row.invoice) == ("20", yesterday, invoice)


def test_what_is_noted_next_is_proposed(invoice, helene):
    assert usual_payment(invoice, D("417.60")) == {"sort": "received", "amount": D("417.60")}
    assert usual_payment(invoice, D("-2.00")) == {"sort": "refund", "amount": D("2.00")}
    assert usual_payment(invoice, D("0.00")) == {"sort": "received", "amount": None}


def test_what_was_noted_is_told_apart(firm, pay, helene):
    row = factories.late(firm, by=helene)
    for days in (0, 10):
        issue_reminder(row, by=helene, at=timezone.now() + dt.timedelta(days=days))
    received, charges = (
        factories.payment(row, amount, by=helene, sort=sort)
        for sort, amount in (("received", "417.60"), ("charges", "45.49"))
    )

    assert noted_words([received]) == "The payment is noted."
    assert noted_words([charges]) == "The payment is noted: 45.49\u00a0EUR of late charges."
    assert "417.60\u00a0EUR for the invoice" in noted_words([received, charges])


def test_what_is_left_to_the_cent_is_usual_and_a_cent_more_is_asked_about(invoice, helene):
    assert payment_doubts(invoice, D("417.60"), "30") == []
    assert "(417.60\u00a0EUR)" in payment_doubts(invoice, D("417.61"), "30")[0]
    assert payment_doubts(invoice, D("-5.00"), "10") == []


def test_cash_counts_with_the_cash_that_came_before(payer, helene):
    """1,000.00 in France, CMF L112-6 and D112-3; what came by transfer does not count."""
    lines = factories.hours("30", "48.00")
    invoice = factories.issued(factories.draft(payer, lines, by=helene), by=helene)
    factories.payment(invoice, "600.00", by=helene, means="10")
    factories.payment(invoice, "100.00", by=helene, means="30")

    assert payment_doubts(invoice, D("400.00"), "10") == []
    assert "in cash is above" in payment_doubts(invoice, D("400.01"), "10")[0]
    assert payment_doubts(invoice, D("400.01"), "30") == []


def test_interest_is_paid_before_the_fee():
    charges = Charges(penalty=D("5.49"), fee=D("40.00"))

    assert charges.whole == D("45.49")
    assert [charges.fee_within(D(came)) for came in ("5.48", "5.49", "5.50", "45.49")] == [
        D("0.00"),
        D("0.00"),
        D("0.01"),
        D("40.00"),
    ]


def test_the_penalty_counts_from_the_day_after_the_due_day(firm, helene):
    # by hand: 417.60 × 12 % × 30 ÷ 365 = 4.1187; 200.00 came on day 10: 1.3729 + 217.60 × 20 days
    # 1.4308
    row = factories.late(firm, by=helene)
    day = row.due_on + dt.timedelta(days=30)
    assert penalty(D("417.60"), D(12), 30) == D("4.12")
    assert penalty_until(with_balance(row), D(12), row.due_on) == 0
    assert penalty_until(with_balance(row), D(12), day) == D("4.12")

    factories.payment(row, "200.00", by=helene, on=row.due_on + dt.timedelta(days=10))
    assert penalty_until(with_balance(row), D(12), day) == D("1.37") + D("1.43")
    assert penalty_until(with_balance(row), D(12), row.due_on + dt.timedelta(days=9)) == D("1.24")


def test_more_than_all_bears_no_penalty_and_gives_none_back(firm, helene):
    row = factories.late(firm, by=helene)
    factories.payment(row, "500.00", by=helene, on=row.due_on)

    assert penalty_until(with_balance(row), D(12), timezone.localdate()) == 0


def test_a_reminder_may_go_out_from_the_day_after_the_due_day(firm, helene):
    row = factories.late(firm, by=helene)

    with pytest.raises(ReminderRefusedError, match="it is due on"):
        claim(row, row.due_on)
    asked = claim(row, row.due_on + dt.timedelta(days=1))
    assert (asked.level, asked.days_late) == (1, 1)
    assert asked.penalty == asked.fee == 0
    assert asked.whole == asked.open_amount == D("417.60")


@pytest.mark.parametrize(
    ("column", "reminded", "may"),
    [
        ("to_30", 0, True),
        ("over_90", 2, True),
        ("over_90", 3, False),
        ("not_due", 0, False),
        ("to_pay_back", 0, False),
    ],
)
def test_a_late_item_may_be_reminded_three_times(invoice, column, reminded, may):
    item = OpenItem(invoice, D("1.00"), 5, column, reminded)

    assert item.may_be_reminded is may
    assert item.is_to_pay_back is (column == "to_pay_back")
    assert item.column_label == str(COLUMNS[column])


def test_columns_of_what_is_owed_leave_out_the_empty_ones_and_what_the_house_owes(invoice):
    aged = Ageing(
        [
            OpenItem(invoice, D("10.00"), 0, "not_due"),
            OpenItem(invoice, D("5.00"), 95, "over_90"),
            OpenItem(invoice, D("-7.00"), 9, "to_pay_back"),
        ]
    )

    assert [(key, amount) for key, _words, amount in aged.owed_sums] == [
        ("not_due", D("10.00")),
        ("over_90", D("5.00")),
    ]
    assert (aged.owed, aged.balance, aged.amount) == (D("15.00"), D("8.00"), D("8.00"))
    assert [len(one) for one in (aged.late, aged.due, aged.to_pay_back)] == [1, 1, 1]
    assert aged.to_pay_back[0].amount == D("7.00")


def test_an_open_item_knows_its_days_and_its_last_reminder(firm, payer, helene):
    row = factories.late(firm, by=helene)
    for days in (0, 10):
        issue_reminder(row, by=helene, at=timezone.now() + dt.timedelta(days=days))
    factories.issued(factories.draft(payer, by=helene), by=helene)

    [item] = ageing(row.due_on + dt.timedelta(days=40), firm).items
    assert (item.days_late, item.reminded) == (40, 2)
    assert [one.days_late for one in ageing(row.due_on, firm).items] == [0]
    assert len(ageing(timezone.localdate()).items) == 2


def test_an_account_shows_the_day_itself_and_the_invoice_before_its_payment(payer, helene):
    at = timezone.now() - dt.timedelta(days=9)
    first = factories.issued(factories.draft(payer, by=helene), by=helene, at=at)
    factories.payment(first, "17.60", by=helene, on=first.issued_on)
    second = factories.issued(factories.draft(payer, by=helene), by=helene)
    factories.payment(second, "1.00", by=helene)

    lines = account(payer, first.issued_on)

    assert [(one.owed, one.paid, one.balance) for one in lines] == [
        (D("417.60"), 0, D("417.60")),
        (0, D("17.60"), D("400.00")),
    ]
    assert lines[0].words == f"invoice {first.number}"
    assert account(payer, first.issued_on - dt.timedelta(days=1)) == []
    assert len(account(payer, timezone.localdate())) == 4


def test_late_charges_are_asked_for_and_come_in_one(firm, helene):
    row = factories.late(firm, by=helene)
    for days in (0, 10):
        issue_reminder(row, by=helene, at=timezone.now() + dt.timedelta(days=days))
    factories.payment(row, "45.49", by=helene, sort="charges")

    lines = account(firm, timezone.localdate())

    assert [(one.owed, one.paid) for one in lines[1:]] == [(D("45.49"), 0), (0, D("45.49"))]
    assert lines[1].words == f"late charges for {row.number}"
    assert lines[-1].balance == D("417.60")


def test_a_statement_asks_to_pay_only_what_is_owed(payer, invoice, helene):
    def body():
        return statement_sheet(payer, language="en", made_at=timezone.now()).body

    owed = body()
    assert (owed.label, owed.amount) == ("Left to pay", "417.60\u00a0EUR")
    assert owed.pay_rows
    factories.payment(invoice, "417.59", by=helene)
    assert (body().label, bool(body().pay_rows)) == ("Left to pay", True)
    factories.payment(invoice, "0.01", by=helene)
    assert (body().label, body().pay_rows) == ("Left to pay", ())
    factories.payment(invoice, "2.40", by=helene)
    favour = body()
    assert (favour.label, favour.amount, favour.pay_rows) == ("In your favour", "2.40\u00a0EUR", ())
    assert [line[2:] for line in favour.lines] == [
        ("417.60", "", "417.60"),
        ("", "417.59", "0.01"),
        ("", "0.01", "0.00"),
        ("", "2.40", "−2.40"),
    ]
    assert Payment.objects.count() == 3
