"""Late charges that a reminder claimed may be received; they change no balance."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from repairs.books.books import faults
from repairs.books.ledger import entries
from repairs.books.lettering import letters
from repairs.invoices.models import Invoice, Payment
from repairs.money import total
from repairs.payments.actions import reverse_payment
from repairs.payments.claims import claim
from repairs.payments.late_charges import charges_left
from repairs.payments.open_items import account, ageing
from repairs.payments.refusals import PaymentRefusedError
from repairs.payments.reminders import issue_reminder
from tests import factories

PENALTY, FEE, BANK = "763100", "758800", "512000"


@pytest.fixture
def reminded(firm, helene) -> Invoice:
    """417.60 left; the second reminder asks for 5.49 of penalty and 40.00 of fee: 463.09."""
    row = factories.late(firm, by=helene)
    for days in (0, 10):
        issue_reminder(row, by=helene, at=timezone.now() + dt.timedelta(days=days))
    return row


def balance(invoice: Invoice) -> Decimal:
    return Invoice.objects.with_balance().get(pk=invoice.pk).balance


def rows(invoice: Invoice) -> list[tuple[str, Decimal]]:
    return [(row.sort, row.amount) for row in invoice.payments.order_by("pk")]


def test_the_sum_of_the_letter_is_parted_in_one_act(pay, reminded):
    page = pay(reminded, "463.09").text.replace("\u00a0", " ")

    assert rows(reminded) == [("received", Decimal("417.60")), ("charges", Decimal("45.49"))]
    assert "417.60 EUR for the invoice and 45.49 EUR of late charges" in page
    assert balance(reminded) == charges_left(reminded).whole == 0


def test_what_is_above_both_is_asked_about_then_stays_to_be_paid_back(pay, reminded):
    asked = pay(reminded, "470.00").text

    assert "is more than is left to pay (463.09\u00a0EUR)" in asked
    assert rows(reminded) == []
    pay(reminded, "470.00", sure="on")
    assert rows(reminded) == [("received", Decimal("424.51")), ("charges", Decimal("45.49"))]
    assert balance(reminded) == Decimal("-6.91")


def test_charges_change_no_balance_and_what_is_left_of_them_is_proposed(client, pay, reminded):
    pay(reminded, "417.60")
    pay(reminded, "5.49", sort="charges")

    page = client.get(reminded.get_absolute_url())

    assert balance(reminded) == 0
    initial = page.context["payment_form"].initial
    assert (initial["sort"], initial["amount"]) == ("charges", Decimal("40.00"))
    assert "Late charges claimed, not received" in page.text


def test_no_more_charges_come_than_were_claimed(pay, reminded, helene):
    with pytest.raises(PaymentRefusedError, match=r"reminders ask for 45\.49"):
        factories.payment(reminded, "45.50", by=helene, sort="charges")

    assert "reminders ask for 45.49" in pay(reminded, "45.50", sort="charges").text
    assert rows(reminded) == []


def test_without_a_claim_no_charges_are_offered(client, pay, invoice):
    answer = pay(invoice, "10.00", sort="charges")

    assert "sort" in answer.context["payment_form"].errors
    assert 'value="charges"' not in client.get(invoice.get_absolute_url()).text


def test_the_next_letter_counts_what_came_of_the_charges(reminded, helene):
    factories.payment(reminded, "45.49", by=helene, sort="charges")

    asked = claim(reminded, timezone.localdate() + dt.timedelta(days=20))

    assert (asked.penalty, asked.fee) == (Decimal("6.86"), Decimal("40.00"))
    assert asked.whole == Decimal("417.60") + Decimal("6.86") - Decimal("5.49")
    paper = issue_reminder(reminded, by=helene, at=timezone.now() + dt.timedelta(days=20)).paper
    said = dict(paper.data["content"]["rows"])
    assert said["Received of the penalty and the fee"] == "−45.49\u00a0EUR"
    assert charges_left(reminded).whole == Decimal("1.37")


def test_charges_go_to_accounts_of_their_own_without_vat(reminded, helene):
    """Interest first, then the fee: 5.49 and 14.51 of 20.00; accounts from memory."""
    factories.payment(reminded, "20.00", by=helene, sort="charges")

    entry = entries(timezone.localdate().year)[-1]

    assert [(line.account, line.debit, line.credit) for line in entry.lines] == [
        (BANK, Decimal("20.00"), Decimal(0)),
        (PENALTY, Decimal(0), Decimal("5.49")),
        (FEE, Decimal(0), Decimal("14.51")),
    ]
    assert entry.label.startswith(f"Frais de retard {reminded.number} par virement")


def test_a_reversal_gives_the_claim_back_and_clears_the_accounts(reminded, helene):
    row = factories.payment(reminded, "45.49", by=helene, sort="charges")
    reverse_payment(row, timezone.localdate(), by=helene, at=timezone.now())

    sums: dict[str, Decimal] = defaultdict(Decimal)
    for entry in entries(timezone.localdate().year):
        assert total(line.debit - line.credit for line in entry.lines) == 0
        for line in entry.lines:
            sums[line.account] += line.debit - line.credit
    assert {sums[PENALTY], sums[FEE], sums[BANK]} == {Decimal(0)}
    assert charges_left(reminded).whole == Decimal("45.49")
    assert balance(reminded) == Decimal("417.60")


def test_charges_part_neither_the_account_nor_the_letters_nor_the_books(reminded, helene):
    factories.payment(reminded, "45.49", by=helene, sort="charges")
    factories.payment(reminded, "417.60", by=helene, on=reminded.due_on)

    lines = account(reminded.client, timezone.localdate())

    assert lines[-1].balance == ageing(timezone.localdate(), reminded.client).balance == 0
    assert [line.words for line in lines][-2:] == [
        f"late charges for {reminded.number}",
        f"late charges received, transfer, for {reminded.number}",
    ]
    assert letters()[reminded.pk].day == reminded.due_on
    assert faults(timezone.localdate().year) == []


@pytest.mark.parametrize(
    ("sort", "amount", "fee_part"),
    [("charges", -1, 0), ("charges", 5, 6), ("received", 5, 1), ("refund", -5, -1)],
)
def test_the_database_knows_charges_and_their_fee(reminded, helene, sort, amount, fee_part):
    row = Payment(
        invoice=reminded,
        sort=sort,
        amount=Decimal(amount),
        fee_part=Decimal(fee_part),
        means="30",
        paid_on=timezone.localdate(),
        noted_at=timezone.now(),
        noted_by=helene,
    )

    with pytest.raises(IntegrityError), transaction.atomic():
        row.save()
