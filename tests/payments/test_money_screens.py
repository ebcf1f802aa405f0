"""The pages about money: what waits, one act each; and who may look."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.models import Invoice
from repairs.invoices.show import cases_to_invoice
from repairs.payments.reminders import issue_reminder
from repairs.payments.statements import issue_statement
from repairs.press.actions import pdf_bytes
from repairs.storage import files as store
from tests import factories


@pytest.fixture
def books_open(client, odile):
    """Odile, who keeps the books, is signed in."""
    client.force_login(odile)
    return client


def proved(case):
    case.step = "proved"
    case.save()
    return case


def test_a_case_that_is_proved_waits_to_be_invoiced(books_open, shop, case):
    before = list(cases_to_invoice())
    proved(case)

    page = books_open.get(reverse("invoices:money")).text

    assert before == []
    assert f'value="{case.number}"' in page


def test_its_button_opens_a_draft_and_it_waits_no_more(books_open, shop, case):
    proved(case)

    books_open.post(reverse("invoices:draft_add"), {"case": case.number})

    assert InvoiceDraft.objects.get().case == case
    assert not cases_to_invoice().exists()


def test_a_case_whose_draft_was_thrown_away_waits_again(books_open, shop, case):
    proved(case)
    books_open.post(reverse("invoices:draft_add"), {"case": case.number})

    books_open.post(reverse("invoices:draft_discard", args=[InvoiceDraft.objects.get().pk]))

    assert list(cases_to_invoice()) == [case]


def test_a_client_is_found_and_billed(books_open, payer):
    page = books_open.get(reverse("invoices:draft_add"), {"q": "ollivant"}).text

    answer = books_open.post(reverse("invoices:draft_add"), {"client": payer.pk, "kind": "386"})

    assert "Garance Ollivant" in page
    assert InvoiceDraft.objects.get().kind == "386"
    assert answer.url == InvoiceDraft.objects.get().get_absolute_url()


@pytest.mark.parametrize("client_said", ["", "²", "0", "777777", "x"])
def test_nobody_is_not_billed(books_open, shop, client_said):
    answer = books_open.post(reverse("invoices:draft_add"), {"client": client_said})

    assert answer.status_code == 404


def test_a_credit_note_is_not_opened_from_nothing(books_open, payer):
    books_open.post(reverse("invoices:draft_add"), {"client": payer.pk, "kind": "381"})

    assert InvoiceDraft.objects.get().kind == "380"


def test_late_and_due_stand_apart_with_one_act_each(books_open, payer, invoice, helene):
    late = factories.draft(payer, by=helene, payment_days=0)
    old = factories.issued(late, by=helene, at=timezone.now() + dt.timedelta(seconds=1))
    Invoice.objects.filter(pk=old.pk).update(due_on=timezone.localdate() - dt.timedelta(days=40))

    page = books_open.get(reverse("invoices:money"))

    assert [item.invoice for item in page.context["late"]] == [old]
    assert [item.invoice for item in page.context["due"]] == [invoice]
    assert "40 days late" in page.text
    assert reverse("invoices:remind", args=[old.number]) in page.text


def test_what_is_to_be_paid_back_is_a_plain_amount(books_open, payer, invoice, helene):
    factories.payment(invoice, "500.00", by=helene)

    page = books_open.get(reverse("invoices:money"))

    assert [item.amount for item in page.context["to_pay_back"]] == [Decimal("82.40")]
    assert "82.40" in page.text
    assert "−82.40" not in page.text
    assert "Note the repayment" in page.text
    assert 'id="ages"' not in page.text


def test_a_repayment_is_proposed_with_its_sum(books_open, payer, invoice, helene):
    factories.payment(invoice, "500.00", by=helene)

    page = books_open.get(invoice.get_absolute_url())
    account = books_open.get(reverse("invoices:statement", args=[payer.pk])).text

    initial = page.context["payment_form"].initial
    assert (initial["sort"], initial["amount"]) == ("refund", Decimal("82.40"))
    assert '<option value="refund" selected>' in page.text
    assert '<dd class="big">82.40\u00a0EUR' in page.text
    assert '<span class="big">82.40\u00a0EUR' in account


def test_only_the_ages_in_which_something_stands_are_shown(books_open, invoice):
    ages = books_open.get(reverse("invoices:money")).context["aged"]

    assert [key for key, _words, _sum in ages.owed_sums] == ["not_due"]
    assert ages.owed == Decimal("417.60")


@pytest.mark.parametrize(
    ("role", "sees"),
    [("principal", True), ("bookkeeper", True), ("luthier", False), ("reader", False)],
)
def test_money_stands_in_the_navigation_of_whoever_may_see_it(client, db, house, role, sees):
    client.force_login(factories.person("basile", role))

    page = client.get(reverse("bench:home")).text

    assert (f'href="{reverse("invoices:money")}"' in page) is sees


def test_a_line_folds_its_tax_and_discount_away_and_says_them_in_short(books_open, draft):
    draft.lines.update(discount=Decimal("5.50"))

    page = books_open.get(draft.get_absolute_url()).text

    assert "Work, 20 %, discount 5.5" in page
    assert "<details><summary>" in page
    assert "Discount, EUR" in page


def test_a_folded_field_that_is_to_be_mended_is_shown(books_open, draft):
    page = books_open.get(draft.get_absolute_url())
    form = page.context["lines"].forms[0]
    sent = {f"lines-0-{name}": str(form[name].value()) for name in form.base_fields}
    counts = {"lines-TOTAL_FORMS": "1", "lines-INITIAL_FORMS": "1"}

    answer = books_open.post(draft.get_absolute_url(), counts | sent | {"lines-0-rate_pct": "200"})

    assert "<details open><summary>" in answer.text
    assert "More than 100 % is not possible here" in answer.text


def test_who_may_not_enter_the_workshops_data_is_told_whom_to_ask(client, owner, helene, odile):
    draft = factories.draft(owner, by=helene)
    said = {}

    for person in (helene, odile):
        client.force_login(person)
        said[person] = client.get(reverse("invoices:issue", args=[draft.pk])).text

    assert "only the principal enters: ask them." in said[odile]
    assert reverse("people:house_billing") not in said[odile]
    assert "only the principal enters" not in said[helene]
    assert reverse("people:house_billing") in said[helene]


def test_the_preview_says_the_number_and_the_sum_that_will_be_issued(books_open, draft):
    page = books_open.get(reverse("invoices:issue", args=[draft.pk])).text
    pdf = books_open.get(reverse("invoices:preview", args=[draft.pk]))

    assert f"Issue FA-{timezone.localdate().year}-0001" in page
    assert "417.60" in page
    assert pdf.content.startswith(b"%PDF")
    assert not Invoice.objects.exists()


def test_what_was_previewed_is_issued(books_open, draft):
    page = books_open.get(reverse("invoices:issue", args=[draft.pk]))

    answer = books_open.post(
        reverse("invoices:issue", args=[draft.pk]), {"shown": page.context["shown"]}, follow=True
    )

    assert Invoice.objects.get().number in answer.text
    assert "is issued." in answer.text


def test_what_changed_after_the_preview_is_not_issued(books_open, draft):
    shown = books_open.get(reverse("invoices:issue", args=[draft.pk])).context["shown"]
    draft.lines.update(quantity=1)

    answer = books_open.post(reverse("invoices:issue", args=[draft.pk]), {"shown": shown})

    assert answer.status_code == 409
    assert not Invoice.objects.exists()


def test_what_is_lacking_is_listed_and_there_is_no_button(books_open, house, owner, helene):
    draft = factories.draft(owner, by=helene)

    page = books_open.get(reverse("invoices:issue", args=[draft.pk])).text

    assert "Before it can be issued" in page
    assert "postcode or town is missing" in page
    assert "IBAN is missing" in page
    assert 'name="shown"' not in page


def test_a_draft_with_a_figure_that_cannot_be_says_so_on_the_page(books_open, draft):
    draft.lines.update(discount=9999)

    for name in ("invoices:draft", "invoices:issue"):
        page = books_open.get(reverse(name, args=[draft.pk]))
        assert "the discount is more than the line" in page.text


def test_an_issued_draft_has_no_page_any_more(books_open, invoice):
    assert books_open.get(invoice.draft.get_absolute_url()).status_code == 404


def test_the_page_of_an_invoice_has_its_papers_and_payments(books_open, invoice, helene):
    factories.payment(invoice, "100.00", by=helene, note="at the counter")

    page = books_open.get(invoice.get_absolute_url()).text

    assert "317.60" in page
    assert "at the counter" in page
    assert "Draft a credit note" in page


def test_the_pdf_is_served_byte_for_byte(books_open, invoice):
    answer = books_open.get(reverse("invoices:file", args=[invoice.number, "pdf"]))

    assert b"".join(answer) == pdf_bytes(invoice.paper)


def test_the_xml_is_seen_and_downloaded(books_open, invoice):
    kept = store.path_of(invoice.xml_name).read_bytes()

    page = books_open.get(reverse("invoices:xml", args=[invoice.number])).text
    file = books_open.get(reverse("invoices:file", args=[invoice.number, "xml"]))

    assert "CrossIndustryInvoice" in page
    assert file.content == kept
    assert "attachment" in file["Content-Disposition"]


def test_the_same_invoice_is_handed_out_in_ubl(books_open, invoice):
    file = books_open.get(reverse("invoices:file", args=[invoice.number, "ubl"]))

    assert b"urn:oasis:names:specification:ubl:schema:xsd:Invoice-2" in file.content
    assert invoice.number.encode() in file.content


def test_another_kind_of_file_is_not_there(books_open, invoice):
    address = reverse("invoices:file", args=[invoice.number, "doc"])

    assert books_open.get(address).status_code == 404


def test_reminders_and_statements_are_served_to_who_may_see_money(
    client, odile, tom, invoice, payer, helene, later
):
    papers = [
        issue_reminder(invoice, by=helene, at=later(3)).paper,
        issue_statement(payer, language="fr", by=helene, at=timezone.now()),
    ]

    for paper in papers:
        address = reverse("invoices:paper", args=[paper.uuid])
        client.force_login(odile)
        assert b"".join(client.get(address)) == pdf_bytes(paper)
        client.force_login(tom)
        assert client.get(address).status_code == 403


def test_a_paper_of_a_case_is_not_served_here(books_open, case, armand, house):
    paper = factories.receipt(case, by=armand)

    assert books_open.get(reverse("invoices:paper", args=[paper.uuid])).status_code == 404


def test_papers_about_money_are_not_listed_to_readers(client, tom, invoice):
    client.force_login(tom)

    page = client.get(reverse("papers:list")).text

    assert invoice.number not in page
    assert reverse("invoices:money") not in page
    assert client.get(reverse("papers:file", args=[invoice.paper.uuid])).status_code == 404


def test_the_account_of_a_client_is_shown_and_issued(books_open, payer, invoice):
    address = reverse("invoices:statement", args=[payer.pk])

    page = books_open.get(address).text
    books_open.post(address)

    assert invoice.number in page
    assert "Statement of account" in books_open.get(address).text


def test_an_invoice_of_ours_passes_its_own_check(books_open, invoice):
    sent = SimpleUploadedFile("ours.pdf", pdf_bytes(invoice.paper), "application/pdf")

    page = books_open.post(reverse("invoices:check"), {"file": sent})

    assert page.context["checked"].passed
    assert "no rule is broken" in page.text


def test_a_received_file_with_a_wrong_sum_is_told(books_open, invoice):
    xml = store.path_of(invoice.xml_name).read_bytes().replace(b">417.60<", b">418.60<")
    sent = SimpleUploadedFile("theirs.xml", xml, "text/xml")

    page = books_open.post(reverse("invoices:check"), {"file": sent})

    assert not page.context["checked"].passed
    assert "rules are broken" in page.text
    assert "417.60" in page.text


@pytest.mark.parametrize("data", [b"", b"not a PDF", b"<html/>", b"%PDF-1.7 torn"])
def test_a_file_that_is_no_invoice_is_refused_with_a_sentence(books_open, data):
    sent = SimpleUploadedFile("theirs.pdf", data, "application/pdf")

    page = books_open.post(reverse("invoices:check"), {"file": sent})

    assert page.status_code == 200
    assert "file" in page.context["form"].errors


@pytest.mark.parametrize("role", ["luthier", "apprentice", "reader"])
@pytest.mark.parametrize("name", ["money", "books", "check", "draft_add"])
def test_money_is_not_for_everyone(client, db, role, name):
    client.force_login(factories.person("basile", role))

    assert client.get(reverse(f"invoices:{name}")).status_code == 403
