"""The facts of an invoice are gathered once, in few queries; what is made of them asks no table."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.invoices.actions import open_credit
from repairs.invoices.case_checks import case_remarks
from repairs.invoices.codes import Kind
from repairs.invoices.doubts import draft_doubts
from repairs.invoices.draft_models import DraftLine, InvoiceDraft
from repairs.invoices.drafting import document_of
from repairs.invoices.facts import Facts
from repairs.invoices.forms import DraftForm
from repairs.invoices.gathering import facts_of
from repairs.invoices.lacks import problems_of
from repairs.invoices.models import Invoice
from repairs.invoices.tax_remarks import remarks_of
from repairs.treatment.agree import Wanted
from tests import factories
from tests.invoices.many import copies_of

MANY = 1500


@pytest.fixture
def stay(payer, armand) -> Case:
    """A case agreed up to 417.60 with tax."""
    case = factories.case(factories.instrument(payer, by=armand), by=armand)
    wanted = Wanted(version=factories.procedure("seam"), title="Seam at the heel")
    factories.agreed_works(case, wanted, by=armand, ceiling=Decimal("417.60"), tax_pct=Decimal(20))
    return case


def fresh(draft: InvoiceDraft) -> InvoiceDraft:
    return InvoiceDraft.objects.select_related("client", "case", "credits").get(pk=draft.pk)


def read_all(facts: Facts) -> list[str]:
    """All that the pages say of a draft."""
    doc = document_of(facts, number="")
    said = [*remarks_of(facts, doc), *draft_doubts(facts, doc), *case_remarks(facts)]
    return [*said, *problems_of(facts, doc)]


def test_the_facts_of_a_draft_without_a_case_want_five_queries(
    draft, django_assert_max_num_queries, django_assert_num_queries
):
    row = fresh(draft)

    with django_assert_max_num_queries(5):  # lines, deposits ticked, house, closed year; a reserve
        facts = facts_of(row, timezone.now())
    with django_assert_num_queries(0):
        read_all(facts)


def test_the_facts_of_a_case_want_fourteen_queries_however_much_was_billed(
    stay, helene, django_assert_max_num_queries, django_assert_num_queries
):
    for _number in range(2):
        line = factories.sold("Deposit", "10.00", sort="free")
        row = factories.draft(stay.owner, line, by=helene, kind=Kind.DEPOSIT, case=stay)
        factories.issued(row, by=helene)
    draft = factories.draft(stay.owner, factories.hours(source="work:1"), by=helene, case=stay)
    draft.deposits.set(Invoice.objects.all())
    copies_of(Invoice.objects.first(), MANY)
    row = fresh(draft)

    with django_assert_max_num_queries(14):
        facts = facts_of(row, timezone.now())
    with django_assert_num_queries(0):
        said = read_all(facts)

    assert facts.case is not None
    assert len(facts.case.invoices) == MANY + 2
    assert sum("is not deducted" in one for one in said) == MANY
    assert facts.prepaid == Decimal("24.00")


def test_the_facts_of_a_credit_note_want_eight_queries(
    invoice, helene, django_assert_max_num_queries, django_assert_num_queries
):
    row = fresh(open_credit(invoice, by=helene, at=timezone.now()))

    with django_assert_max_num_queries(8):
        facts = facts_of(row, timezone.now())
    with django_assert_num_queries(0):
        said = read_all(facts)

    assert said == []
    assert facts.credited is not None
    assert facts.credited.gross == Decimal("417.60")


def test_a_draft_of_1500_lines_is_shown_and_added_up(client, payer, helene):
    draft = factories.draft(payer, factories.sold("A peg", "1.00"), by=helene)
    (line,) = draft.lines.all()
    DraftLine.objects.bulk_create(
        DraftLine(
            draft=draft,
            position=number,
            sort=line.sort,
            description=f"Peg {number}",
            quantity=Decimal(1),
            unit_price=Decimal(1),
            category=line.category,
            rate_pct=line.rate_pct,
        )
        for number in range(2, MANY + 1)
    )
    client.force_login(helene)

    page = client.get(reverse("invoices:issue", args=[draft.pk]))

    assert page.status_code == 200
    assert "Peg 1500" in page.text
    assert "1,800.00\u00a0EUR" in page.text


def test_a_client_with_1500_deposits_is_offered_all_of_them(client, payer, helene):
    line = factories.sold("Deposit", "10.00", sort="free")
    deposit = factories.issued(
        factories.draft(payer, line, by=helene, kind=Kind.DEPOSIT), by=helene
    )
    copies_of(deposit, MANY - 1)
    draft = factories.draft(payer, factories.hours("800"), by=helene)
    client.force_login(helene)

    offered = DraftForm(instance=draft).fields["deposits"].queryset  # type: ignore[attr-defined]
    assert offered.count() == MANY
    draft.deposits.set(Invoice.objects.filter(kind=Kind.DEPOSIT))
    page = client.get(reverse("invoices:draft", args=[draft.pk]))

    assert page.status_code == 200
    assert page.context["totals"].prepaid == Decimal("18000.00")
