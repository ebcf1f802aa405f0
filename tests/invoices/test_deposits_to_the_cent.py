"""What was agreed with its tax is asked for to the cent, at every amount and every rate.

EN 16931, BR-CO-17: tax is base × rate, rounded; its published rules let it be off by less than one
unit of the currency, so the cent that no base can meet is borne by the tax.
"""

from __future__ import annotations

from dataclasses import replace as changed
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.einvoice.document import InvoiceDoc, Line
from repairs.einvoice.totals import totals_of
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.invoices.actions import open_credit
from repairs.invoices.codes import Kind
from repairs.invoices.from_case import deposit_lines, draft_of_case
from repairs.invoices.remaining import gross_left
from repairs.law.rates import countries, law_data
from repairs.money import CENT, share, tax_in
from repairs.people.models import Client
from tests import factories
from tests.einvoice.samples import TWO_RATES

D = Decimal
LAWS = [law_data(land) or {} for land in countries()]
RATES = sorted({D(row["rate_pct"]) for law in LAWS for row in law["rates"]} - {D(0)})
# With rates in tenths, which cent is missed comes again after twice as many cents as a price of
# 100 before tax has tenths with it: 2,540 at the most, for 27 %.
CENTS = range(1, 2 * 1270 + 1)


def asked(gross: D, rate_pct: D) -> InvoiceDoc:
    line = Line(
        number="1",
        description="Deposit",
        quantity=D(1),
        unit_price=gross - tax_in(gross, rate_pct),
        rate_pct=rate_pct,
        gross=gross,
    )
    return changed(TWO_RATES, lines=(line,), deposits=(), allowances=())


@pytest.mark.parametrize("rate_pct", RATES, ids=str)
def test_every_sum_agreed_with_its_tax_is_asked_for_to_the_cent(rate_pct: D):
    for cents in CENTS:
        gross = cents * CENT
        sums = totals_of(asked(gross, rate_pct))
        assert (sums.gross, sums.due) == (gross, gross)
        assert abs(sums.vat - share(sums.net, rate_pct)) <= CENT


def test_by_hand_14_73_at_20_lies_between_what_two_bases_come_to():
    # 12.27 + 2.45 is 14.72, and 12.28 + 2.46 is 14.74
    sums = totals_of(asked(D("14.73"), D(20)))
    assert (sums.net, sums.vat, sums.gross) == (D("12.27"), D("2.46"), D("14.73"))


def test_beside_it_other_lines_bear_their_own_tax():
    doc = asked(D("14.73"), D(20))
    other = Line(number="2", description="Gut", quantity=D(1), unit_price=D("0.99"), rate_pct=D(20))
    sums = totals_of(changed(doc, lines=(*doc.lines, other)))
    assert (sums.net, sums.vat) == (D("13.26"), D("2.66"))  # 2.46, and 0.20 on 0.99


def test_what_was_agreed_holds_no_more_once_the_price_was_changed():
    doc = asked(D("14.73"), D(20))
    dearer = changed(doc, lines=(changed(doc.lines[0], unit_price=D("12.28")),))
    assert totals_of(dearer).gross == D("14.74")


@pytest.fixture
def agreed(db, case, armand, helene):
    """Forty minutes at 60.00 and strings: 49.10 with 20 % tax, of which 30 % are 14.73."""
    factories.billing_house()
    address = {"address": "3, rue des Tanneurs", "postcode": "03100", "city": "Montluçon"}
    Client.objects.filter(pk=case.owner_id).update(**address)
    line = LineWish(kind="material", words="Strings", amount=D("0.92"))
    work = factories.work_line(minutes_low=40, minutes_high=40)
    offer = factories.estimate(
        case, OptionWish(kind="safe", lines=[work, line]), by=helene, deposit_pct=30
    )
    factories.consent(offer, by=armand)
    return Case.objects.get(pk=case.pk)


def test_the_deposit_that_was_agreed_is_issued_and_deducted(agreed, helene, client):
    (line,) = deposit_lines(agreed)
    assert line.gross == D("14.73")
    draft = draft_of_case(agreed, kind=Kind.DEPOSIT, by=helene, at=timezone.now())
    client.force_login(helene)
    page = client.get(reverse("invoices:draft", args=[draft.pk])).text
    assert "Agreed with its tax: 14.73" in page

    deposit = factories.issued(draft, by=helene)

    assert deposit.gross == D("14.73")
    assert gross_left(deposit) == D("14.73")
    final = factories.draft(agreed.owner, factories.hours("0.75"), case=agreed, by=helene)
    final.deposits.set([deposit])
    invoice = factories.issued(final, by=helene)
    assert invoice.deductions.get().amount == D("14.73")
    assert invoice.due == invoice.gross - D("14.73")


def test_a_credit_note_takes_the_whole_of_it_back(agreed, helene):
    draft = draft_of_case(agreed, kind=Kind.DEPOSIT, by=helene, at=timezone.now())
    deposit = factories.issued(draft, by=helene)

    draft = open_credit(deposit, by=helene, at=timezone.now())
    draft.note = "Agreed otherwise."
    draft.save()
    note = factories.issued(draft, by=helene)

    assert abs(note.gross) == D("14.73")
    assert gross_left(deposit) == 0
