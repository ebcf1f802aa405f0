"""Issuing: number, e-invoice, paper and books together, or nothing at all."""

from __future__ import annotations

import datetime as dt
import hashlib
import io
from decimal import Decimal

import pypdf
import pytest
from django.db.models import ProtectedError
from django.utils import timezone

from repairs.audit.actions import chain_faults
from repairs.audit.models import LogEntry
from repairs.einvoice.check.validate import BUILDERS
from repairs.einvoice.frozen import doc_from
from repairs.einvoice.rules.rule_sets import CII
from repairs.invoices.actions import discard_draft
from repairs.invoices.models import Invoice, TaxRow
from repairs.invoices.paper_kinds import INVOICE
from repairs.invoices.refusals import (
    DraftOverError,
    InvoiceKeptError,
)
from repairs.people.actions import change_client, change_house
from repairs.press.actions import pdf_bytes
from repairs.storage import files as store
from tests import factories
from tests.outside.verapdf import validate


def test_an_issued_invoice_has_its_sums_its_paper_and_its_line_in_the_log(invoice, helene):
    assert (invoice.net, invoice.vat, invoice.gross) == (
        Decimal("348.00"),
        Decimal("69.60"),
        Decimal("417.60"),
    )
    assert (invoice.paper.kind, invoice.paper.subject) == (INVOICE, invoice.log_key)
    assert invoice.due_on == invoice.issued_on + dt.timedelta(days=30)
    assert LogEntry.objects.filter(verb="invoice.issued", subject=invoice.log_key).exists()
    assert list(chain_faults()) == []


def test_the_xml_lies_inside_the_pdf_byte_for_byte(invoice):
    kept = store.path_of(invoice.xml_name).read_bytes()

    enclosed = pypdf.PdfReader(io.BytesIO(pdf_bytes(invoice.paper))).attachments

    assert enclosed["factur-x.xml"] == [kept]
    assert hashlib.sha256(kept).hexdigest() == invoice.xml_sha256
    assert invoice.number.encode() in kept


@pytest.mark.slow
@pytest.mark.real_press
def test_the_papers_are_archival_and_accessible(tmp_path, firm, helene):
    files = []
    for language in ("fr", "en"):
        firm.language = language
        firm.save()
        deposit = factories.issued(factories.draft(firm, by=helene, kind="386"), by=helene)
        draft = factories.draft(
            firm,
            factories.hours("20"),
            factories.sold("Strings", "12.50", quantity=Decimal(3), details="gut\n0.81 mm"),
            factories.sold("Printed method", "18.95", category="S", rate_pct=Decimal("5.5")),
            by=helene,
            discount_pct=Decimal(5),
        )
        draft.deposits.add(deposit)
        files.append(tmp_path / f"{language}.pdf")
        files[-1].write_bytes(pdf_bytes(factories.issued(draft, by=helene).paper))

    found = validate(files)

    assert found == {file.name: {"3a": [], "ua1": []} for file in files}


def test_seller_and_buyer_are_frozen_on_the_day_of_issue(invoice, payer, shop, helene):
    payer.name, shop.legal_name = "Someone else", "Sautarel SARL"
    change_client(payer, by=helene, at=timezone.now())
    change_house(shop, by=helene, at=timezone.now())

    kept = doc_from(Invoice.objects.get(pk=invoice.pk).content)

    assert (kept.seller.legal_name, kept.buyer.name) == ("", "Garance Ollivant")


def test_what_was_kept_reads_back_as_the_same_invoice(invoice):
    kept = doc_from(invoice.content)

    assert BUILDERS[CII](kept) == store.path_of(invoice.xml_name).read_bytes()


def test_an_issued_invoice_is_neither_changed_nor_removed(invoice):
    invoice.net = Decimal(1)

    with pytest.raises(TypeError, match="never rewritten"):
        invoice.save()
    with pytest.raises(InvoiceKeptError, match=f"{invoice.number} was issued and is never deleted"):
        invoice.delete()
    with pytest.raises(ProtectedError):
        Invoice.objects.all().delete()
    with pytest.raises(TypeError, match="never removed"):
        invoice.paper.delete()


def test_the_draft_of_an_issued_invoice_is_not_thrown_away(invoice, helene):
    with pytest.raises(DraftOverError, match="issued or thrown away"):
        discard_draft(invoice.draft, by=helene, at=timezone.now())


def test_a_draft_is_issued_once(draft, helene):
    factories.issued(draft, by=helene)

    with pytest.raises(DraftOverError, match="issued or thrown away"):
        factories.issued(draft, by=helene)

    assert Invoice.objects.count() == 1


def test_a_client_is_reached_under_the_address_they_want(firm, helene):
    firm.e_address = "0225:356000000_ACHATS"
    firm.save()

    invoice = factories.issued(factories.draft(firm, by=helene), by=helene)

    xml = store.path_of(invoice.xml_name).read_text()
    assert '<ram:URIID schemeID="0225">356000000_ACHATS</ram:URIID>' in xml


def test_several_rates_stand_in_the_books_apart(payer, helene):
    draft = factories.draft(
        payer,
        factories.hours(),
        factories.sold("Printed method", "18.95", category="S", rate_pct=Decimal("5.5")),
        by=helene,
    )

    invoice = factories.issued(draft, by=helene)

    rows = TaxRow.objects.filter(invoice=invoice).values_list("rate_pct", "base", "tax")
    assert set(rows) == {
        (Decimal("20.00"), Decimal("348.00"), Decimal("69.60")),
        (Decimal("5.50"), Decimal("18.95"), Decimal("1.04")),
    }


def test_a_small_business_charges_no_vat_and_says_why(helene):
    factories.billing_house(vat_regime="small_business", vat_id="")
    client = factories.payer(by=helene)

    invoice = factories.issued(factories.draft(client, by=helene), by=helene)

    assert (invoice.net, invoice.vat) == (Decimal("348.00"), Decimal("0.00"))
    assert "VATEX-FR-FRANCHISE" in store.path_of(invoice.xml_name).read_text()
    assert any("293 B" in line for line in invoice.paper.data["content"]["mentions"])


@pytest.mark.parametrize(
    ("country", "fields", "category"),
    [
        ("DE", {"vat_id": "DE136695976"}, "AE"),  # a published example of its check digit
        ("CH", {"company_number": "CHE-100.155.212"}, "O"),
        ("DE", {}, "S"),
    ],
)
def test_a_client_abroad_is_taxed_where_the_law_says(shop, helene, country, fields, category):
    client = factories.payer(
        by=helene, country=country, postcode="10115", city="Berlin", name="Werkstatt", **fields
    )

    invoice = factories.issued(factories.draft(client, by=helene), by=helene)

    assert {row.category for row in invoice.tax_rows.all()} == {category}


def test_goods_sent_out_of_the_union_are_exports(shop, helene):
    client = factories.payer(by=helene, country="CH", postcode="1201", city="Genève")
    goods = factories.sold("A new wheel", "310.00", category="G", rate_pct=Decimal(0))

    invoice = factories.issued(factories.draft(client, goods, by=helene), by=helene)

    assert (invoice.vat, invoice.gross) == (Decimal("0.00"), Decimal("310.00"))
