"""What each deed on a draft writes: its lines, its revision, its line of the log, its sentence."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.invoices.actions import change_draft, discard_draft, open_credit, open_draft
from repairs.invoices.codes import Kind
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.drafting import document_of
from repairs.invoices.gathering import facts_of
from repairs.invoices.lacks import house_lacks, problems_of
from repairs.invoices.models import Invoice, operation_of
from repairs.people.house_models import House
from repairs.people.models import Client
from tests import factories
from tests.invoices.laws import GERMAN, NO_VAT, problems

D = Decimal


def verbs(subject: str) -> list[str]:
    rows = LogEntry.objects.filter(subject=subject).order_by("pk")
    return list(rows.values_list("verb", flat=True))


def credit(invoice: Invoice, helene) -> InvoiceDraft:
    return open_credit(invoice, by=helene, at=timezone.now())


def test_every_deed_on_a_draft_stands_in_the_log(draft, invoice, payer, helene):
    own = factories.draft(payer, by=helene)
    change_draft(own, list(own.lines.all()), [], by=helene, at=timezone.now())
    discard_draft(own, by=helene, at=timezone.now())
    note = credit(invoice, helene)

    assert verbs(own.log_key) == [
        "invoice.drafted",
        "invoice.draft_changed",
        "invoice.draft_discarded",
    ]
    assert verbs(note.log_key) == ["credit.drafted"]
    assert own.lines.count() == 1
    own.refresh_from_db()
    assert (own.revision, own.discarded_at is None) == (1, False)


def test_a_set_off_stands_in_the_log_with_its_sum(payer, helene):
    line = factories.sold("Deposit", "100.00", sort="free")
    deposit = factories.issued(factories.draft(payer, line, by=helene, kind="386"), by=helene)
    final = factories.draft(payer, by=helene)
    final.deposits.add(deposit)
    invoice = factories.issued(final, by=helene)
    factories.issued(credit(invoice, helene), by=helene)

    (entry,) = LogEntry.objects.filter(verb="payment.set_off", subject=invoice.log_key)
    assert (entry.details["amount"], entry.details["deposit"]) == ("120.00", deposit.number)


@pytest.mark.parametrize("said", [{"category": "AE"}, {"rate_pct": D("5.5")}, {}])
def test_a_line_without_category_or_rate_takes_the_usual_tax(payer, helene, said):
    (line,) = factories.draft(payer, factories.hours(**said), by=helene).lines.all()

    assert (line.category, line.rate_pct) == ("S", D(20))


def test_a_line_that_was_credited_whole_is_not_credited_again(payer, helene):
    lines = factories.hours(), factories.sold("A peg", "0.50")
    invoice = factories.issued(factories.draft(payer, *lines, by=helene), by=helene)
    first = credit(invoice, helene)
    first.lines.filter(position=2).delete()
    factories.issued(first, by=helene)

    (rest,) = credit(invoice, helene).lines.all()

    assert (rest.description, rest.position, rest.unit_price) == ("A peg", 1, D("0.50"))
    assert (rest.quantity, rest.unit, rest.sort) == (D(1), "C62", "material")


def test_a_credit_note_of_goods_is_about_goods(payer, helene):
    draft = factories.draft(payer, factories.sold("Strings", "12.50"), by=helene)
    invoice = factories.issued(draft, by=helene)

    note = factories.issued(credit(invoice, helene), by=helene)

    assert (operation_of(invoice), operation_of(note)) == ("B", "B")


def test_a_discounted_credit_note_with_a_tax_of_its_own_is_told_and_does_not_break(payer, helene):
    draft = factories.draft(payer, by=helene, discount_pct=D(10))
    note = credit(factories.issued(draft, by=helene), helene)
    note.lines.update(rate_pct=D("5.5"), source="")

    (off,) = document_of(facts_of(note, timezone.now()), number="").allowances

    assert (off.amount, off.rate_pct) == (D("34.80"), D("5.5"))
    assert "has 0.00\u00a0EUR left to credit at 5.5" in problems(note)


def test_a_deposit_of_a_euro_is_deducted(payer, helene):
    """0.83 and 0.17."""
    line = factories.sold("Deposit", "0.83", sort="free")
    deposit = factories.issued(factories.draft(payer, line, by=helene, kind="386"), by=helene)
    final = factories.draft(payer, by=helene)
    final.deposits.add(deposit)

    assert factories.issued(final, by=helene).due == D("416.60")


# Taxes ---------------------------------------------------------------------------------------


def test_a_reverse_charge_is_credited_under_the_numbers_that_both_still_have(drafted, helene):
    invoice = factories.issued(drafted("AE", GERMAN | {"name": "Werkstatt"}), by=helene)
    note = credit(invoice, helene)

    whole = problems(note)
    Client.objects.filter(pk=note.client.pk).update(vat_id="")
    note.client.refresh_from_db()
    House.objects.update(vat_id="")

    assert whole == ""
    said = problems(note)
    assert "Without VAT of ours the client must have a VAT number; it is missing." in said
    assert "The client accounts for the VAT, but the workshop’s VAT number is missing." in said
    assert "VAT is charged" not in said


def test_a_small_business_without_a_number_is_asked_for_none_at_home(drafted):
    draft = drafted("E", {}, vat_regime="small_business", vat_id="")

    assert problems(draft) == ""


def test_goods_of_a_small_business_bear_its_own_exemption(drafted):
    draft = drafted("AE", GERMAN, sort="material", vat_regime="small_business")

    assert "goods sold alone bear “small business, no VAT”" in problems(draft)


def test_two_wrong_lines_are_named_with_the_taxes_that_can_be(payer, helene):
    free = factories.hours(category="AE", rate_pct=NO_VAT)
    draft = factories.draft(payer, free, factories.hours(), by=helene)

    said = problems(draft)

    assert said.startswith("Line 1: ")
    assert said.endswith("Possible for this client: taxed.")


def test_the_own_rate_of_the_house_is_told_to_businesses_alone(payer, firm, helene):
    House.objects.update(penalty_rate_pct=D("12.5"))

    def terms(client: Client) -> list[str]:
        doc = document_of(facts_of(factories.draft(client, by=helene), timezone.now()), number="")
        return [note.text for note in doc.notes if "12.5" in note.text]

    assert terms(payer) == []
    (said,) = terms(firm)
    assert said.replace("\u00a0", " ").startswith("Late payment penalty: 12.5 % a year")


# Screens -------------------------------------------------------------------------------------


def test_who_is_to_be_billed_is_chosen_from_a_short_list(client, shop, helene):
    client.force_login(helene)
    for number in range(22):
        factories.payer(by=helene, name=f"Martial {number}")
    address = reverse("invoices:draft_add")

    assert len(client.get(address).context["clients"]) == 8
    assert len(client.get(address, {"q": " martial "}).context["clients"]) == 20
    assert len(client.get(address, {"q": "martial 21"}).context["clients"]) == 1


def test_no_key_bills_no_client_not_even_the_first(client, payer, helene):
    client.force_login(helene)
    if not Client.objects.filter(pk=1).exists():
        payer.pk = 1
        payer.save(force_insert=True)

    for said in ("", "x", "²", "-1"):
        answer = client.post(reverse("invoices:draft_add"), {"client": said})
        assert answer.status_code == 404


def test_a_draft_thrown_away_is_told_and_leads_back_to_the_money(client, draft, helene):
    client.force_login(helene)

    page = client.post(reverse("invoices:draft_discard", args=[draft.pk]), follow=True)

    assert "The draft is thrown away. It had no number." in page.text
    assert page.redirect_chain[-1][0] == reverse("invoices:money")


def test_the_page_of_a_draft_tells_what_the_house_lacks(client, draft, helene):
    client.force_login(helene)

    def lacks() -> tuple[bool, bool]:
        page = client.get(draft.get_absolute_url())
        return page.context["house_lacks"], bool(page.context["problems"])

    before = lacks()
    House.objects.update(iban="")
    facts = facts_of(draft, timezone.now())
    doc = document_of(facts, number="")

    assert (before, lacks()) == ((False, False), (True, True))
    assert house_lacks(doc)
    assert len(problems_of(facts, doc)) == 1
    draft.lines.all().delete()
    assert client.get(draft.get_absolute_url()).context["problems"] == []


def test_a_draft_of_a_case_is_logged_with_its_number(case, shop, helene):
    draft = open_draft(case.owner, case=case, by=helene, at=timezone.now(), kind=Kind.DEPOSIT)

    (entry,) = LogEntry.objects.filter(verb="invoice.drafted", subject=draft.log_key)
    assert (entry.details["case"], entry.details["kind"]) == (case.number, "386")
