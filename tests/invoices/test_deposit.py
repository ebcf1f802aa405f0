"""Deposit invoices, and their deduction from the final invoice without VAT paid twice."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from repairs.books.ledger import entries
from repairs.invoices.actions import open_credit
from repairs.invoices.codes import Kind
from repairs.invoices.forms import DraftForm
from repairs.invoices.models import Invoice, TaxRow
from repairs.invoices.refusals import (
    CreditRefusedError,
    DepositUsedError,
    DraftChangedError,
    DraftIncompleteError,
)
from repairs.money import NOTHING, total
from repairs.payments.refusals import PaymentRefusedError
from repairs.storage import files as store
from tests import factories


@pytest.fixture
def deposit(payer, helene) -> Invoice:
    """100.00 before 20 % VAT."""
    line = factories.sold("Deposit on the wheel", "100.00", sort="free")
    return factories.issued(factories.draft(payer, line, by=helene, kind=Kind.DEPOSIT), by=helene)


@pytest.fixture
def final(payer, deposit, helene):
    row = factories.draft(payer, by=helene)
    row.deposits.add(deposit)
    return row


def test_a_deposit_comes_off_what_is_due_and_not_off_the_vat(final, deposit, helene):
    invoice = factories.issued(final, by=helene)

    assert (invoice.vat, invoice.gross) == (Decimal("69.60"), Decimal("417.60"))
    assert (invoice.prepaid, invoice.due) == (Decimal("120.00"), Decimal("297.60"))
    assert invoice.deductions.get().deposit == deposit


def test_the_vat_of_a_deposit_stands_in_the_books_once(final, deposit, helene):
    invoice = factories.issued(final, by=helene)

    taxes = [row.tax for row in TaxRow.objects.filter(invoice__in=(deposit, invoice))]
    assert total(taxes) == Decimal("69.60")


def test_the_final_invoice_names_its_deposit_and_the_vat_already_invoiced(final, deposit, helene):
    invoice = factories.issued(final, by=helene)

    content = invoice.paper.data["content"]
    said = " ".join(content["mentions"])
    assert deposit.number in store.path_of(invoice.xml_name).read_text()
    assert "20.00\u00a0EUR VAT, which were invoiced with it" in said
    assert content["deposits"][0][1] == "−120.00\u00a0EUR"


def test_a_deposit_is_deducted_once(final, payer, deposit, helene):
    other = factories.draft(payer, by=helene)
    other.deposits.add(deposit)
    invoice = factories.issued(final, by=helene)

    with pytest.raises(DepositUsedError, match=f"{invoice.number} deducts it already"):
        factories.issued(other, by=helene)


def test_only_deposits_of_the_client_are_offered(final, deposit, helene):
    stranger = factories.draft(factories.payer(by=helene, name="Odon Perrachon"), by=helene)

    offered: Any = DraftForm(instance=final).fields["deposits"]
    assert list(offered.queryset) == [deposit]
    assert "deposits" not in DraftForm(instance=stranger).fields


def test_the_deposit_of_another_is_refused(deposit, helene):
    stranger = factories.draft(factories.payer(by=helene, name="Odon Perrachon"), by=helene)
    stranger.deposits.add(deposit)

    with pytest.raises(DepositUsedError, match="no deposit invoice of this client"):
        factories.issued(stranger, by=helene)


def test_a_deposit_larger_than_the_invoice_is_refused(payer, deposit, helene):
    small = factories.draft(payer, factories.hours("1"), by=helene)
    small.deposits.add(deposit)

    with pytest.raises(DraftIncompleteError, match="deposits are more than the invoice"):
        factories.issued(small, by=helene)


def test_a_deposit_credited_in_part_is_deducted_by_the_rest(final, deposit, helene):
    part = open_credit(deposit, by=helene, at=timezone.now())
    part.lines.update(unit_price=Decimal("40.00"))
    factories.issued(part, by=helene)

    invoice = factories.issued(final, by=helene)

    assert invoice.prepaid == Decimal("72.00")


def test_a_deposit_credited_as_a_whole_cannot_be_deducted(final, deposit, helene):
    factories.issued(open_credit(deposit, by=helene, at=timezone.now()), by=helene)

    with pytest.raises((DepositUsedError, DraftChangedError)):
        factories.issued(final, by=helene)


def test_a_deducted_deposit_is_credited_through_its_invoice(final, deposit, helene):
    invoice = factories.issued(final, by=helene)

    with pytest.raises(CreditRefusedError, match=f"deducted in invoice {invoice.number}"):
        open_credit(deposit, by=helene, at=timezone.now())


def test_a_final_invoice_that_is_paid_by_its_deposit_asks_for_nothing(payer, deposit, helene):
    same = factories.draft(payer, factories.sold("Work", "100.00", sort="hours"), by=helene)
    same.deposits.add(deposit)

    invoice = factories.issued(same, by=helene)

    assert invoice.due == 0
    assert not Invoice.objects.open().filter(pk=invoice.pk).exists()


def test_crediting_the_final_invoice_leaves_the_deposit_to_be_paid_back(final, deposit, helene):
    factories.payment(deposit, "120.00", by=helene)
    invoice = factories.issued(final, by=helene)
    factories.payment(invoice, "297.60", by=helene)

    factories.issued(open_credit(invoice, by=helene, at=timezone.now()), by=helene)

    balances = {row.number: row.balance for row in Invoice.objects.open()}
    assert balances == {invoice.number: Decimal("-417.60")}


def balance(invoice: Invoice) -> Decimal:
    return Invoice.objects.with_balance().get(pk=invoice.pk).balance


def test_a_deposit_never_paid_is_set_off_when_its_final_invoice_is_credited(final, deposit, helene):
    """417.60, of which 120.00 by the deposit: credited whole, nothing is owed either way."""
    invoice = factories.issued(final, by=helene)
    factories.issued(open_credit(invoice, by=helene, at=timezone.now()), by=helene)

    assert (balance(invoice), balance(deposit)) == (NOTHING, NOTHING)
    assert [(row.amount, row.note) for row in deposit.payments.all()] == [
        (Decimal("120.00"), invoice.number)
    ]
    assert not deposit.payments.get().may_be_reversed
    assert sum(
        line.debit - line.credit
        for entry in entries(deposit.issued_on.year)
        for line in entry.lines
        if line.account in ("411000", "478000")
    ) == Decimal(0)


def test_a_deposit_that_was_paid_is_paid_back_on_its_credited_invoice(final, deposit, helene):
    invoice = factories.issued(final, by=helene)
    factories.payment(deposit, "120.00", by=helene)
    factories.issued(open_credit(invoice, by=helene, at=timezone.now()), by=helene)
    before = balance(invoice)

    factories.payment(invoice, "-120.00", by=helene)

    assert (before, balance(invoice), balance(deposit)) == (Decimal("-120.00"), NOTHING, NOTHING)
    with pytest.raises(PaymentRefusedError):
        factories.payment(invoice, "-0.01", by=helene)


def test_a_credit_in_part_sets_off_no_more_than_it_gives_back(final, deposit, helene):
    """297.60 are due of the final invoice; 300.00 credited leave 2.40 to give back."""
    invoice = factories.issued(final, by=helene)
    part = open_credit(invoice, by=helene, at=timezone.now())
    part.lines.update(quantity=Decimal(1), unit_price=Decimal("250.00"))
    factories.issued(part, by=helene)

    assert (balance(invoice), balance(deposit)) == (NOTHING, Decimal("117.60"))
