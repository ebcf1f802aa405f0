"""Payments are added, never changed; open items grow old by their due day."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.invoices.actions import open_credit
from repairs.invoices.models import ClosedYear, Invoice, Payment
from repairs.invoices.refusals import YearClosedError
from repairs.payments.actions import reverse_payment
from repairs.payments.open_items import account, ageing, column_of
from repairs.payments.refusals import PaymentRefusedError
from repairs.payments.statements import issue_statement
from tests import factories

DUE = dt.date(2026, 3, 31)


def balance(invoice: Invoice) -> Decimal:
    return Invoice.objects.with_balance().get(pk=invoice.pk).balance


def test_part_payments_add_up(invoice, helene):
    factories.payment(invoice, "100.10", by=helene)
    factories.payment(invoice, "200.20", by=helene)

    assert balance(invoice) == Decimal("117.30")


def test_a_paid_invoice_is_open_no_more(invoice, helene):
    for _ in range(3):
        factories.payment(invoice, "139.20", by=helene)

    assert balance(invoice) == 0
    assert not Invoice.objects.open().exists()


def test_cents_that_no_binary_fraction_holds_leave_nothing_open(payer, helene):
    line = factories.sold("Strings", "0.25", quantity=Decimal(1))
    invoice = factories.issued(factories.draft(payer, line, by=helene), by=helene)
    for _ in range(3):
        factories.payment(invoice, "0.10", by=helene)

    assert invoice.due == Decimal("0.30")
    assert not Invoice.objects.open().exists()


def test_too_much_stays_open_until_it_is_paid_back(invoice, helene):
    factories.payment(invoice, "500.00", by=helene)
    too_much = balance(invoice)
    factories.payment(invoice, "-82.40", by=helene)

    assert too_much == Decimal("-82.40")
    assert balance(invoice) == 0


def test_no_more_is_paid_back_than_came(invoice, helene):
    factories.payment(invoice, "50.00", by=helene)

    with pytest.raises(
        PaymentRefusedError, match=r"60\.00.EUR would be paid back, but only 50\.00"
    ):
        factories.payment(invoice, "-60.00", by=helene)


def test_a_mistake_is_reversed_and_both_rows_stay(invoice, helene):
    wrong = factories.payment(invoice, "417.60", by=helene)

    row = reverse_payment(wrong, timezone.localdate(), by=helene, at=timezone.now())

    assert (row.amount, row.reverses) == (Decimal("-417.60"), wrong)
    assert balance(invoice) == invoice.due
    assert Payment.objects.count() == 2
    assert LogEntry.objects.filter(verb="payment.reversed", subject=invoice.log_key).exists()


def test_an_entry_is_reversed_once(invoice, helene):
    wrong = factories.payment(invoice, "10.00", by=helene)
    row = reverse_payment(wrong, timezone.localdate(), by=helene, at=timezone.now())

    for again in (Payment.objects.get(pk=wrong.pk), row):
        with pytest.raises(PaymentRefusedError, match="reversed already"):
            reverse_payment(again, timezone.localdate(), by=helene, at=timezone.now())


def test_a_payment_is_neither_changed_nor_removed(invoice, helene):
    payment = factories.payment(invoice, "10.00", by=helene)
    payment.amount = Decimal(1)

    with pytest.raises(TypeError, match="never rewritten"):
        payment.save()
    with pytest.raises(TypeError, match="never removed"):
        payment.delete()


@pytest.mark.parametrize(
    ("days", "sentence"), [(1, "lies in the future"), (-1, "before the invoice")]
)
def test_the_day_of_a_payment_lies_between_the_invoice_and_today(invoice, helene, days, sentence):
    on = timezone.localdate() + dt.timedelta(days=days)

    with pytest.raises(PaymentRefusedError, match=sentence):
        factories.payment(invoice, "10.00", by=helene, on=on)


def test_a_credit_note_takes_no_payment(invoice, helene):
    note = factories.issued(open_credit(invoice, by=helene, at=timezone.now()), by=helene)

    with pytest.raises(PaymentRefusedError, match="the credit note corrects"):
        factories.payment(note, "10.00", by=helene)


def test_nothing_is_paid_in_a_closed_year(invoice, helene):
    ClosedYear(
        year=timezone.localdate().year, totals={}, closed_at=timezone.now(), closed_by=helene
    ).save()

    with pytest.raises(YearClosedError):
        factories.payment(invoice, "10.00", by=helene)


@pytest.mark.parametrize(("sort", "amount"), [("received", -1), ("refund", 1), ("reversal", 1)])
def test_the_database_knows_the_sign_of_a_payment(invoice, helene, sort, amount):
    row = Payment(
        invoice=invoice,
        sort=sort,
        amount=Decimal(amount),
        means="30",
        paid_on=timezone.localdate(),
        noted_at=timezone.now(),
        noted_by=helene,
    )

    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()


@pytest.mark.parametrize(
    ("days", "column"),
    [
        (-1, "not_due"),
        (0, "not_due"),
        (1, "to_30"),
        (30, "to_30"),
        (31, "to_60"),
        (60, "to_60"),
        (61, "to_90"),
        (90, "to_90"),
        (91, "over_90"),
    ],
)
def test_an_open_item_stands_in_the_column_of_its_age(days, column):
    assert column_of(DUE, Decimal(1), DUE + dt.timedelta(days=days)) == column


def test_what_is_to_be_paid_back_has_a_column_of_its_own():
    assert column_of(DUE, Decimal(-1), DUE + dt.timedelta(days=99)) == "to_pay_back"


def test_the_columns_add_up_to_the_balance(payer, invoice, helene):
    more = factories.issued(factories.draft(payer, by=helene, payment_days=0), by=helene)
    factories.payment(more, "500.00", by=helene)

    aged = ageing(invoice.due_on + dt.timedelta(days=45))

    sums = {key: amount for key, _label, amount in aged.sums}
    assert (sums["to_60"], sums["to_pay_back"]) == (Decimal("417.60"), Decimal("-82.40"))
    assert sum(sums.values()) == aged.balance == Decimal("335.20")


def test_the_account_of_a_client_ends_in_the_balance_of_its_open_items(payer, invoice, helene):
    factories.payment(invoice, "100.00", by=helene)
    part = open_credit(invoice, by=helene, at=timezone.now())
    part.lines.update(quantity=Decimal(1))
    factories.issued(part, by=helene)

    lines = account(payer, timezone.localdate())

    assert [line.balance for line in lines] == [
        Decimal("417.60"),
        Decimal("360.00"),
        Decimal("260.00"),
    ]
    assert lines[-1].balance == ageing(timezone.localdate(), payer).balance


def test_a_statement_is_a_paper_and_its_next_version_replaces_it(payer, invoice, helene):
    first = issue_statement(payer, language="fr", by=helene, at=timezone.now())
    factories.payment(invoice, "417.60", by=helene)

    second = issue_statement(payer, language="en", by=helene, at=timezone.now())

    assert (second.version, second.replaces) == (2, first)
    assert first.data["content"]["amount"] == "417,60\u00a0EUR"
    assert second.data["content"]["open_items"] == []


def test_a_payment_is_typed_with_a_comma(client, invoice, helene):
    client.force_login(helene)
    today = timezone.localdate().isoformat()

    client.post(
        reverse("invoices:pay", args=[invoice.number]),
        {"sort": "received", "amount": "17,60", "means": "48", "paid_on": today},
    )

    assert Payment.objects.get().amount == Decimal("17.60")


@pytest.mark.parametrize("amount", ["-5", "0", "", "much"])
def test_an_amount_that_cannot_be_is_named(client, invoice, helene, amount):
    client.force_login(helene)

    answer = client.post(
        reverse("invoices:pay", args=[invoice.number]),
        {"sort": "received", "amount": amount, "means": "48", "paid_on": "2026-01-01"},
    )

    assert "amount" in answer.context["payment_form"].errors
    assert not Payment.objects.exists()


def test_a_refused_payment_keeps_what_was_typed(client, invoice, helene):
    client.force_login(helene)

    answer = client.post(
        reverse("invoices:pay", args=[invoice.number]),
        {
            "sort": "refund",
            "amount": "5",
            "means": "48",
            "paid_on": timezone.localdate().isoformat(),
            "note": "by mistake",
        },
    )

    assert "only 0.00" in answer.text
    assert "by mistake" in answer.text
