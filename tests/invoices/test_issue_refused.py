"""What is not issued: what was not shown, what lacks something, what breaks a rule."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.einvoice.check.validate import BUILDERS
from repairs.einvoice.refusals import InvoiceRulesError, RulesNotRunError
from repairs.einvoice.rules.rule_sets import CII
from repairs.invoices import issuing
from repairs.invoices.drafting import document_of
from repairs.invoices.gathering import facts_of
from repairs.invoices.issuing import fingerprint, issue_invoice
from repairs.invoices.models import ClosedYear, Invoice
from repairs.invoices.refusals import (
    DraftChangedError,
    DraftIncompleteError,
)
from repairs.people.house_models import House
from repairs.press.models import Paper
from tests import factories


def shown(draft) -> str:
    return fingerprint(document_of(facts_of(draft, timezone.now()), number=""))


@pytest.mark.parametrize("what", ["line", "client", "house"])
def test_only_what_was_shown_is_issued(draft, payer, shop, helene, what):
    seen = shown(draft)
    if what == "line":
        draft.lines.update(unit_price=Decimal(50))
    elif what == "client":
        payer.address = "4, rue des Tanneurs"
        payer.save()
    else:
        shop.iban = ""
        shop.save()
    draft.refresh_from_db()

    with pytest.raises(DraftChangedError, match="changed after this was shown"):
        issue_invoice(draft, shown=seen, by=helene, clock=timezone.now)

    assert not Invoice.objects.exists()


def test_a_draft_without_a_line_is_refused(draft, helene):
    draft.lines.all().delete()

    with pytest.raises(DraftIncompleteError, match="no line yet"):
        factories.issued(draft, by=helene)


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("postcode", "", "postcode or town is missing"),
        ("company_number", "", "company number is missing"),
        ("company_number", "73282932000075", "SIRET"),
        ("vat_id", "", "VAT number is missing"),
        ("vat_id", "FR45732829320", "VAT number FR45732829320 is mistyped"),
        ("iban", "", "IBAN is missing"),
        ("iban", "FR7630006000011234567890188", "IBAN FR7630006000011234567890188 is mistyped"),
    ],
)
def test_what_the_workshop_lacks_is_named(draft, shop, helene, field, value, sentence):
    House.objects.update(**{field: value})

    with pytest.raises(DraftIncompleteError, match=sentence):
        factories.issued(draft, by=helene)

    assert not Invoice.objects.exists()


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("country", "", "country is missing"),
        ("vat_id", "FR40356000000", "is mistyped"),
        ("company_number", "356000001", "SIREN 356000001 is mistyped"),
    ],
)
def test_what_the_client_lacks_is_named(payer, helene, field, value, sentence):
    setattr(payer, field, value)
    payer.save()
    draft = factories.draft(payer, factories.hours(category="S", rate_pct=Decimal(20)), by=helene)

    with pytest.raises(DraftIncompleteError, match=sentence):
        factories.issued(draft, by=helene)


def test_a_rate_that_the_law_does_not_know_is_refused(payer, helene):
    odd = factories.hours(category="S", rate_pct=Decimal("19.60"))
    draft = factories.draft(payer, odd, by=helene)

    with pytest.raises(DraftIncompleteError, match="no rate of VAT in France"):
        factories.issued(draft, by=helene)


def test_nothing_is_issued_that_breaks_a_rule(draft, helene, monkeypatch):
    monkeypatch.setitem(
        BUILDERS, CII, lambda doc, build=BUILDERS[CII]: build(doc).replace(b">417.60<", b">417.61<")
    )

    with pytest.raises(InvoiceRulesError):
        factories.issued(draft, by=helene)

    assert not Invoice.objects.exists()


def test_nothing_is_issued_when_the_rules_cannot_be_tried(draft, helene, monkeypatch):
    def silent(*_said, **_more):
        raise RulesNotRunError(why="the checking process did not answer in time")

    monkeypatch.setattr(issuing, "build_checked", silent)

    with pytest.raises(RulesNotRunError):
        factories.issued(draft, by=helene)

    assert not Invoice.objects.exists()


def test_nothing_is_issued_in_a_pdf_without_the_checked_xml(draft, helene, monkeypatch):
    monkeypatch.setattr(issuing, "with_einvoice", lambda sheet, _xml: sheet)

    with pytest.raises(InvoiceRulesError, match=r"factur-x\.xml"):
        factories.issued(draft, by=helene)

    assert (Invoice.objects.count(), Paper.objects.count()) == (0, 0)


def test_nothing_is_issued_in_a_closed_year(draft, helene):
    day = timezone.now()
    ClosedYear(year=day.year, totals={}, closed_at=day, closed_by=helene).save()

    with pytest.raises(DraftIncompleteError, match="is closed"):
        factories.issued(draft, by=helene)
