"""Credit notes take back all or part of an invoice, and never more than was invoiced."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.invoices.actions import open_credit
from repairs.invoices.draft_models import DraftLine
from repairs.invoices.drafting import document_of
from repairs.invoices.forms import DraftForm
from repairs.invoices.gathering import facts_of
from repairs.invoices.lacks import problems_of
from repairs.invoices.models import Invoice
from repairs.invoices.paper_kinds import CREDIT_NOTE
from repairs.invoices.refusals import (
    CreditLineTooLargeError,
    CreditRefusedError,
    CreditTooLargeError,
    DraftIncompleteError,
)
from repairs.invoices.remaining import gross_left
from repairs.money import total
from repairs.people.house_models import House
from repairs.storage import files as store
from tests import factories


def credit_draft(invoice: Invoice, helene):
    return open_credit(invoice, by=helene, at=timezone.now())


def test_a_credit_note_takes_back_the_whole_and_names_its_invoice(invoice, helene):
    note = factories.issued(credit_draft(invoice, helene), by=helene)

    xml = store.path_of(note.xml_name).read_text()
    assert (note.kind, note.credits, note.gross) == ("381", invoice, Decimal("417.60"))
    assert note.paper.kind == CREDIT_NOTE
    assert "<ram:TypeCode>381</ram:TypeCode>" in xml
    assert invoice.number in xml
    assert gross_left(invoice) == 0


def test_a_part_is_credited_and_the_rest_later(invoice, helene):
    first = credit_draft(invoice, helene)
    first.lines.update(quantity=Decimal("1.25"))
    note = factories.issued(first, by=helene)

    rest = credit_draft(invoice, helene)

    assert note.gross == Decimal("72.00")  # 1.25 × 48.00 × 1.20
    assert rest.lines.get().quantity == Decimal("6")
    assert factories.issued(rest, by=helene).gross == Decimal("345.60")


@pytest.mark.parametrize("more", [{"quantity": Decimal("7.26")}, {"unit_price": Decimal("48.01")}])
def test_more_than_was_invoiced_is_refused(invoice, helene, more):
    draft = credit_draft(invoice, helene)
    draft.lines.update(**more)

    with pytest.raises(CreditTooLargeError, match=invoice.number):
        factories.issued(draft, by=helene)

    assert not invoice.credit_notes.exists()


def test_more_than_was_invoiced_in_sum_is_refused(invoice, helene):
    one = credit_draft(invoice, helene)
    one.lines.update(quantity=Decimal(4))
    factories.issued(one, by=helene)
    other = credit_draft(invoice, helene)
    other.lines.update(quantity=Decimal(4))

    with pytest.raises(CreditTooLargeError, match=r"of which 156\.00.EUR before tax is left"):
        factories.issued(other, by=helene)


def test_a_line_that_comes_from_none_is_held_against_its_tax(invoice, helene):
    draft = credit_draft(invoice, helene)
    draft.lines.update(source="", unit_price=Decimal("48.01"))

    with pytest.raises(CreditTooLargeError, match=r"has 417\.60.EUR left to credit at 20"):
        factories.issued(draft, by=helene)


def test_a_line_gives_back_no_more_than_was_billed_on_it(payer, helene):
    """9 hours of 4.8333 would have passed, since the tax as a whole had more."""
    lines = factories.hours("4.8333", "60.00"), factories.sold("Hide glue", "900.00")
    invoice = factories.issued(factories.draft(payer, *lines, by=helene), by=helene)
    draft = credit_draft(invoice, helene)
    draft.lines.filter(position=1).update(quantity=Decimal(9))
    draft.lines.filter(position=2).delete()

    facts = facts_of(draft, timezone.now())
    (said,) = problems_of(facts, document_of(facts, number=""))

    assert "billed 4.8333 hour" in said
    assert "290.00\u00a0EUR before tax is left" in said  # 4.8333 x 60.00 = 289.998
    with pytest.raises(CreditLineTooLargeError):
        factories.issued(draft, by=helene)


def test_what_a_lower_price_left_is_credited_as_one_sum(invoice, helene):
    part = credit_draft(invoice, helene)
    part.lines.update(unit_price=Decimal("8.00"))  # 58.00 of 348.00
    factories.issued(part, by=helene)

    rest = credit_draft(invoice, helene)

    assert (rest.lines.get().quantity, rest.lines.get().unit_price) == (1, Decimal("290.00"))
    assert factories.issued(rest, by=helene).net == Decimal("290.00")
    assert gross_left(invoice) == 0


def test_a_credit_note_says_why_and_nothing_of_late_payment(invoice, helene):
    draft = credit_draft(invoice, helene)
    draft.note = "The wheel was billed twice."
    draft.save()
    note = factories.issued(draft, by=helene)

    content = note.paper.data["content"]
    said = " ".join(content["mentions"])
    assert content["corrects"].endswith("Reason: The wheel was billed twice.")
    assert "penalt" not in said.lower()
    assert "<ram:SubjectCode>PMT</ram:SubjectCode>" in store.path_of(note.xml_name).read_text()


def test_a_credit_note_states_the_day_of_supply_of_its_invoice(payer, helene):
    day = timezone.localdate() - dt.timedelta(days=9)
    invoice = factories.issued(factories.draft(payer, by=helene, delivery_on=day), by=helene)

    note = factories.issued(credit_draft(invoice, helene), by=helene)

    assert note.content["delivery_on"] == day.isoformat()


def test_the_reason_of_a_credit_note_is_asked(invoice, helene):
    draft = credit_draft(invoice, helene)
    form = DraftForm({"language": "en", "means": "30", "discount_pct": "0"}, instance=draft)

    assert form.fields["note"].label == "why it is credited"
    assert "note" in form.errors


def test_another_tax_than_was_invoiced_is_refused(invoice, helene):
    draft = credit_draft(invoice, helene)
    draft.lines.update(rate_pct=Decimal("5.5"))

    with pytest.raises(CreditTooLargeError, match=r"has 0\.00.EUR left"):
        factories.issued(draft, by=helene)


def test_nothing_is_left_to_credit_twice(invoice, helene):
    factories.issued(credit_draft(invoice, helene), by=helene)

    with pytest.raises(CreditRefusedError, match="credited already"):
        credit_draft(invoice, helene)


def test_a_credit_note_is_not_credited(invoice, helene):
    note = factories.issued(credit_draft(invoice, helene), by=helene)

    with pytest.raises(CreditRefusedError, match="credit note itself"):
        credit_draft(note, helene)


def test_asking_twice_leads_to_the_same_draft(invoice, helene):
    assert credit_draft(invoice, helene) == credit_draft(invoice, helene)


def test_the_discount_of_the_invoice_is_credited_with_it(payer, helene):
    draft = factories.draft(payer, by=helene, discount_pct=Decimal(10))
    invoice = factories.issued(draft, by=helene)

    note = factories.issued(credit_draft(invoice, helene), by=helene)

    assert (note.gross, invoice.gross) == (Decimal("375.84"), Decimal("375.84"))


def test_a_line_discount_is_credited_once(payer, helene):
    spec = factories.hours(discount=Decimal("48.00"))
    invoice = factories.issued(factories.draft(payer, spec, by=helene), by=helene)
    part = credit_draft(invoice, helene)
    part.lines.update(quantity=Decimal("2.25"))
    factories.issued(part, by=helene)

    rest = credit_draft(invoice, helene)

    assert rest.lines.get().discount == 0
    assert factories.issued(rest, by=helene).net == Decimal("240.00")
    assert gross_left(invoice) == 0


def test_an_invoice_of_another_currency_is_not_credited_in_ours(invoice, helene):
    draft = credit_draft(invoice, helene)
    House.objects.update(currency="CHF")

    with pytest.raises(DraftIncompleteError, match="is in EUR, but the workshop invoices in CHF"):
        factories.issued(draft, by=helene)


def test_a_small_business_still_credits_the_vat_that_it_charged(invoice, helene):
    House.objects.update(vat_regime="small_business")
    draft = credit_draft(invoice, helene)

    assert draft.lines.get().rate_pct == Decimal("20.00")


def test_the_button_opens_the_draft(client, invoice, helene):
    client.force_login(helene)

    answer = client.post(reverse("invoices:credit", args=[invoice.number]), follow=True)

    assert f"Corrects {invoice.number}" in answer.text
    assert DraftLine.objects.filter(draft__credits=invoice).count() == 1


@pytest.mark.parametrize(
    ("price", "pieces", "discount_pct"),
    [
        ("1.13", 2, "0"),  # 2.26 bears 0.45; a half bears 0.23, so the rest 0.22
        ("1.27", 2, "0"),  # 2.54 bears 0.51; a half bears 0.25, so the rest 0.26
        ("1.05", 10, "5"),
        ("1.05", 10, "10"),
        ("0.03", 7, "0"),
    ],
)
def test_what_is_credited_in_parts_comes_to_the_invoice_to_the_cent(
    payer, helene, price, pieces, discount_pct
):
    line = factories.sold("Strings", price, quantity=Decimal(pieces))
    draft = factories.draft(payer, line, by=helene, discount_pct=Decimal(discount_pct))
    invoice = factories.issued(draft, by=helene)
    notes = []
    for _ in range(pieces - 1 if pieces < 8 else 1):
        part = credit_draft(invoice, helene)
        part.lines.update(quantity=Decimal(1))
        notes.append(factories.issued(part, by=helene))
    notes.append(factories.issued(credit_draft(invoice, helene), by=helene))

    assert total(note.net for note in notes) == invoice.net
    assert total(note.vat for note in notes) == invoice.vat
    assert gross_left(invoice) == 0
    assert not Invoice.objects.open().exists()
