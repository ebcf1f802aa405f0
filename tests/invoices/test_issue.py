"""Issuing: number, e-invoice, paper and books together, or nothing at all."""

from __future__ import annotations

from decimal import Decimal

import pytest

from tests import factories


@pytest.fixture
def payer(helene):
    factories.billing_house()
    return factories.payer(by=helene)


def test_an_issued_invoice_has_its_number_its_paper_and_its_sums(payer, helene):
    draft = factories.draft(payer, by=helene)

    invoice = factories.issued(draft, by=helene)

    year = invoice.issued_on.year
    assert invoice.number == f"FA-{year}-0001"
    assert (invoice.net, invoice.vat, invoice.gross) == (
        Decimal("348.00"),
        Decimal("69.60"),
        Decimal("417.60"),
    )
    assert invoice.paper.subject == invoice.log_key
