"""What happens while an invoice is printed: what it rests on is looked at once more."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.einvoice.check.pdf import pdf_faults
from repairs.invoices import issuing
from repairs.invoices.actions import discard_draft, open_credit
from repairs.invoices.models import ClosedYear, Invoice
from repairs.invoices.refusals import (
    CreditRefusedError,
    CreditTooLargeError,
    DepositUsedError,
    DraftChangedError,
    DraftOverError,
    YearClosedError,
)
from repairs.invoices.years import require_open
from tests import factories


@pytest.fixture
def meanwhile(monkeypatch):
    """Do something between the print of the next issue and its transaction."""
    look = pdf_faults

    def during(deed) -> None:
        def faults(pdf: bytes, xml: bytes) -> list[str]:
            monkeypatch.setattr(issuing, "pdf_faults", look)
            deed()
            return look(pdf, xml)

        monkeypatch.setattr(issuing, "pdf_faults", faults)

    return during


@pytest.fixture
def final(payer, helene):
    """A draft of 417.60 that deducts a deposit of 120.00."""
    line = factories.sold("Deposit", "100.00", sort="free")
    deposit = factories.issued(factories.draft(payer, line, by=helene, kind="386"), by=helene)
    row = factories.draft(payer, by=helene)
    row.deposits.add(deposit)
    return row


def test_a_draft_that_somebody_saved_is_not_issued(meanwhile, draft, helene):
    meanwhile(lambda: type(draft).objects.filter(pk=draft.pk).update(revision=1))

    with pytest.raises(DraftChangedError):
        factories.issued(draft, by=helene)
    assert not Invoice.objects.exists()


def test_a_draft_that_somebody_threw_away_is_not_issued(meanwhile, draft, helene):
    meanwhile(lambda: discard_draft(draft, by=helene, at=timezone.now()))

    with pytest.raises(DraftOverError):
        factories.issued(draft, by=helene)
    assert not Invoice.objects.exists()


def test_nothing_is_issued_into_a_year_that_was_closed(meanwhile, draft, helene):
    now = timezone.now()
    year = timezone.localdate().year
    meanwhile(
        lambda: ClosedYear.objects.create(year=year, totals={}, closed_at=now, closed_by=helene)
    )

    with pytest.raises(YearClosedError, match=f"The year {year} is closed"):
        factories.issued(draft, by=helene)
    assert not Invoice.objects.exists()


@pytest.mark.parametrize(
    ("whole", "refusal"), [(False, DraftChangedError), (True, DepositUsedError)]
)
def test_a_deposit_that_was_credited_is_not_deducted(meanwhile, final, helene, whole, refusal):
    note = open_credit(final.deposits.get(), by=helene, at=timezone.now())
    if not whole:
        note.lines.update(unit_price=Decimal("40.00"))
    meanwhile(lambda: factories.issued(note, by=helene))

    with pytest.raises(refusal):
        factories.issued(final, by=helene)
    assert not Invoice.objects.filter(draft=final).exists()


def test_no_more_is_credited_than_is_left_when_all_is_held(meanwhile, invoice, helene):
    """As if another machine had credited 240.00 with its tax although the series was held."""
    part = open_credit(invoice, by=helene, at=timezone.now())
    part.lines.update(quantity=1)
    note = factories.issued(part, by=helene)
    rest = open_credit(invoice, by=helene, at=timezone.now())
    (row,) = note.tax_rows.all()
    row.pk, row.base, row.tax = None, Decimal("-240.00"), Decimal("-48.00")
    row._state.adding = True
    meanwhile(row.save)

    with pytest.raises(CreditTooLargeError, match=r"has 72\.00.EUR left .* takes back 360\.00"):
        factories.issued(rest, by=helene)
    assert invoice.credit_notes.count() == 1


def test_a_deposit_that_was_deducted_is_not_credited_by_itself(meanwhile, final, helene):
    note = open_credit(final.deposits.get(), by=helene, at=timezone.now())
    meanwhile(lambda: factories.issued(final, by=helene))

    with pytest.raises(CreditRefusedError, match="was deducted in invoice"):
        factories.issued(note, by=helene)
    assert not final.deposits.get().credit_notes.exists()


def test_what_an_issue_rests_on_is_held_and_its_line_of_the_log_is_short(final, helene, held):
    held.clear()
    invoice = factories.issued(final, by=helene)

    assert held[:4] == ["InvoiceDraft", "House", "Invoice", "InvoiceSeries"]
    entry = LogEntry.objects.get(verb="invoice.issued", subject=invoice.log_key)
    assert "above" not in entry.details
    held.clear()
    require_open(timezone.localdate())
    assert held == ["House"]
