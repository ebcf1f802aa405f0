"""What the case holds against a draft: its ceiling, its deposits, the day when it was done."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.einvoice.document import InvoiceDoc
from repairs.einvoice.totals import totals_of
from repairs.invoices.actions import discard_draft, open_credit
from repairs.invoices.case_checks import above_agreed, billed_twice, case_remarks
from repairs.invoices.codes import Kind
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.drafting import document_of
from repairs.invoices.facts import Facts
from repairs.invoices.from_case import draft_of_case, unbilled_lines
from repairs.invoices.gathering import facts_of
from repairs.invoices.lacks import problems_of
from repairs.invoices.models import ClosedYear
from repairs.invoices.refusals import DraftIncompleteError
from repairs.invoices.show import cases_to_invoice
from repairs.money import NOTHING
from repairs.treatment.actions import open_work
from repairs.treatment.agree import Terms, Wanted, write_agreed
from repairs.treatment.clocks import type_minutes
from repairs.treatment.models import Intervention, WorkSpell
from tests import factories


def now(draft: InvoiceDraft) -> Facts:
    return facts_of(draft, timezone.now())


def doc_of(draft: InvoiceDraft) -> InvoiceDoc:
    return document_of(now(draft), number="")


def problems(draft: InvoiceDraft) -> list[str]:
    return problems_of(now(draft), doc_of(draft))


def above(draft: InvoiceDraft) -> Decimal:
    return above_agreed(now(draft), totals_of(doc_of(draft)).gross)


@pytest.fixture
def stay(payer, armand) -> Case:
    """A case of somebody who can be invoiced, agreed up to 417.60 with tax: 7.25 h at 48.00."""
    case = factories.case(factories.instrument(payer, by=armand), by=armand)
    wanted = Wanted(version=factories.procedure("seam"), title="Seam at the heel")
    factories.agreed_works(case, wanted, by=armand, ceiling=Decimal("417.60"), tax_pct=Decimal(20))
    return case


def draft_of(case: Case, by: Any, *lines: Any, **fields: Any) -> InvoiceDraft:
    return factories.draft(case.owner, *lines, by=by, case=case, **fields)


def test_a_sum_at_the_ceiling_is_not_above_it(stay, helene):
    assert above(draft_of(stay, helene)) == 0


def test_what_is_above_the_ceiling_stops_the_invoice_on_both_pages(client, stay, helene):
    draft = draft_of(stay, helene, factories.hours("8.25"))
    client.force_login(helene)

    said = "57.60\u00a0EUR more is billed than was agreed"  # one hour at 48.00 with 20 %
    for name in ("invoices:draft", "invoices:issue"):
        assert said in client.get(reverse(name, args=[draft.pk])).text
    with pytest.raises(DraftIncompleteError, match="more is billed than was agreed"):
        factories.issued(draft, by=helene)


def test_who_said_yes_to_more_opens_the_way_and_the_log_keeps_the_sum(stay, helene):
    draft = draft_of(stay, helene, factories.hours("8.25"))
    draft.above_because = "Mrs Ollivant on the telephone, 3 June"
    draft.save()

    invoice = factories.issued(draft, by=helene)

    entry = LogEntry.objects.get(verb="invoice.issued", subject=invoice.log_key)
    assert entry.details["above"] == "57.60"


def test_a_discount_on_the_whole_counts(stay, helene):
    draft = draft_of(stay, helene, factories.hours("8.25"), discount_pct=Decimal(20))

    assert above(draft) == 0  # 8.25 x 48.00 x 0.8 x 1.2 = 380.16


def test_what_was_billed_before_counts_and_what_was_credited_does_not(stay, helene):
    first = factories.issued(draft_of(stay, helene), by=helene)
    more = draft_of(stay, helene, factories.hours("1"))
    before = above(more)

    factories.issued(open_credit(first, by=helene, at=timezone.now()), by=helene)

    assert (before, above(more)) == (Decimal("57.60"), NOTHING)


def deposit_draft(case: Case, by: Any) -> InvoiceDraft:
    line = factories.sold("Deposit", "100.00", sort="free")
    return draft_of(case, by, line, kind=Kind.DEPOSIT)


def test_a_draft_older_than_the_deposit_must_deduct_it(stay, helene):
    draft = draft_of(stay, helene)
    deposit = factories.issued(deposit_draft(stay, helene), by=helene)

    (said,) = problems(draft)
    draft.deposits.add(deposit)

    assert f"{deposit.number} of this case, 120.00\u00a0EUR, is not deducted" in said
    assert problems(draft) == []
    assert factories.issued(draft, by=helene).due == Decimal("297.60")


def test_a_deposit_credited_as_a_whole_need_not_be_deducted(stay, helene):
    deposit = factories.issued(deposit_draft(stay, helene), by=helene)
    factories.issued(open_credit(deposit, by=helene, at=timezone.now()), by=helene)

    assert problems(draft_of(stay, helene)) == []


def test_no_deposit_is_asked_after_the_invoice(stay, helene):
    late = deposit_draft(stay, helene)
    invoice = factories.issued(draft_of(stay, helene), by=helene)

    assert any(f"invoiced by {invoice.number}" in one for one in problems(late))
    with pytest.raises(DraftIncompleteError):
        factories.issued(late, by=helene)


def test_two_deposits_may_not_ask_for_more_than_was_agreed(stay, helene):
    factories.issued(deposit_draft(stay, helene), by=helene)
    line = factories.sold("Deposit", "300.00", sort="free")

    assert above(draft_of(stay, helene, line, kind=Kind.DEPOSIT)) == Decimal("62.40")


def returned(case: Case, by: Any, at: dt.datetime) -> None:
    HandBack.objects.create(
        case=case,
        ending="handed_back",
        received_name="Garance Ollivant",
        returned_at=at,
        state_at_return="It sings.",
        noted_at=at,
        noted_by=by,
        done_at=at,
    )


def test_the_day_of_supply_is_that_of_the_return(stay, helene, armand):
    home = dt.datetime(2026, 5, 16, 9, 0, tzinfo=dt.UTC)
    returned(stay, armand, home)

    draft = draft_of(stay, helene)

    assert doc_of(draft).delivery_on == dt.date(2026, 5, 16)
    assert factories.issued(draft, by=helene).content["delivery_on"] == "2026-05-16"


def test_the_typed_day_outranks_the_return(stay, helene, armand):
    returned(stay, armand, timezone.now())
    day = dt.date(2026, 5, 2)

    assert now(draft_of(stay, helene, delivery_on=day)).supplied_on == day


def test_before_the_return_the_last_sign_off_counts(case, armand, helene, house):
    work = factories.begun_work(factories.agreed_work(case, "free", by=armand), by=armand)
    signed = factories.signed_off(factories.ticked(work, by=armand), by=armand)
    draft = factories.draft(case.owner, by=helene, case=case)

    day = timezone.localtime(signed.at).date()
    new_year = dt.datetime(2030, 1, 1, 12, tzinfo=dt.UTC)
    assert facts_of(draft, new_year).supplied_on == day


def test_a_deposit_states_no_supply(stay, helene):
    invoice = factories.issued(deposit_draft(stay, helene), by=helene)

    assert invoice.content["delivery_on"] is None
    assert invoice.paper.data["content"]["delivery_on"] == ""


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"delivery_on": dt.date(2031, 2, 3)}, "which is far ahead"),
        ({"payment_days": 400}, "400 days to pay"),
    ],
)
def test_a_day_that_cannot_be_is_told(firm, helene, fields, said):
    draft = factories.draft(firm, by=helene, **fields)

    assert any(said in one for one in problems(draft))


def test_a_case_whose_invoice_was_credited_as_a_whole_waits_again(client, stay, helene):
    Case.objects.filter(pk=stay.pk).update(step="proved")
    first = factories.issued(draft_of(stay, helene), by=helene)
    waited = cases_to_invoice().exists()
    factories.issued(open_credit(first, by=helene, at=timezone.now()), by=helene)

    assert (waited, cases_to_invoice().exists()) == (False, True)
    client.force_login(helene)
    assert "Draft the invoice" in client.get(stay.get_absolute_url()).text


def test_the_case_page_offers_the_invoice_or_leads_to_its_draft(client, stay, helene):
    client.force_login(helene)
    offered = client.get(stay.get_absolute_url()).text
    draft = draft_of(stay, helene)
    begun = client.get(stay.get_absolute_url()).text
    discard_draft(draft, by=helene, at=timezone.now())

    assert "Draft the invoice" in offered
    assert "Draft the invoice" not in begun
    assert draft.get_absolute_url() in begun
    assert "Draft the invoice" in client.get(stay.get_absolute_url()).text


def test_work_that_an_invoice_bills_already_is_told(stay, helene):
    line = factories.hours(source="work:1")
    first = factories.issued(draft_of(stay, helene, line), by=helene)
    second = draft_of(stay, helene, line)
    said = billed_twice(now(second))
    factories.issued(open_credit(first, by=helene, at=timezone.now()), by=helene)

    assert said == [f"Invoice {first.number} bills some of the same work or material already."]
    assert billed_twice(now(second)) == []


def test_asking_twice_for_the_invoice_of_a_case_leads_to_the_same_draft(stay, helene):
    moment = timezone.now()
    first = draft_of_case(stay, kind=Kind.INVOICE, by=helene, at=moment)

    assert draft_of_case(stay, kind=Kind.INVOICE, by=helene, at=moment) == first


def test_a_further_invoice_bills_what_is_not_billed_yet(stay, armand, helene):
    work = factories.begun_work(stay.agreed_works.get(), by=armand)
    moment = timezone.now()
    first = WorkSpell(intervention=work, person=armand, started_at=moment, minutes=60)
    type_minutes(first, by=armand, at=moment)
    billed = draft_of_case(stay, kind=Kind.INVOICE, by=helene, at=moment)
    remarks = case_remarks(now(billed))
    factories.issued(billed, by=helene)
    nothing = list(unbilled_lines(stay))
    more = WorkSpell(intervention=work, person=armand, started_at=moment, minutes=30)
    type_minutes(more, by=armand, at=moment)

    (line,) = unbilled_lines(stay)

    assert "not signed off yet" in remarks[0]
    assert nothing == []
    assert (line.quantity, line.source) == (Decimal("0.5"), f"work:{work.pk}")


def test_a_price_that_no_sum_before_tax_comes_to_is_told(payer, armand, helene):
    """At 20 %: 8.32 makes 9.98, and 8.33 makes 10.00."""
    case = factories.case(
        factories.instrument(payer, by=armand), by=armand, reason="while_you_wait"
    )
    wanted = Wanted(version=factories.procedure("seam"), title="A string")
    terms = Terms(basis="counter", ceiling=Decimal("9.99"))
    (agreed,) = write_agreed(case, [wanted], terms, by=armand, at=timezone.now())
    open_work(
        Intervention(case=case, agreed=agreed), findings=[], parts=[], by=armand, at=timezone.now()
    )
    draft = draft_of_case(case, kind=Kind.INVOICE, by=helene, at=timezone.now())

    assert draft.payment_days == 0
    assert totals_of(doc_of(draft)).gross == Decimal("9.98")
    assert any("9.98\u00a0EUR is the next below" in one for one in case_remarks(now(draft)))


def test_a_closed_year_is_told_before_the_button(payer, helene):
    ClosedYear.objects.create(
        year=timezone.localdate().year, totals={}, closed_at=timezone.now(), closed_by=helene
    )

    (said,) = problems(factories.draft(payer, by=helene))

    assert str(timezone.localdate().year) in said
