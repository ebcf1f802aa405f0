"""The screens of one draft and one invoice: preview, issue, papers, files; and received files."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from repairs.invoices.models import Invoice
from repairs.payments.reminders import issue_reminder
from repairs.payments.statements import issue_statement
from repairs.press.actions import pdf_bytes
from repairs.storage import files as store
from tests import factories


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
