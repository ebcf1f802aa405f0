"""Clients of several countries, and drafts for them, for the tests of what tax can be lawful."""

from __future__ import annotations

from decimal import Decimal

from django.utils import timezone

from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.drafting import document_of
from repairs.invoices.gathering import facts_of
from repairs.invoices.lacks import problems_of
from repairs.invoices.tax_remarks import remarks_of
from repairs.people.models import Client

GERMAN = {"country": "DE", "postcode": "10115", "city": "Berlin", "vat_id": "DE136695976"}
NAMELESS_GERMAN = GERMAN | {"vat_id": ""}
SWISS = {"country": "CH", "postcode": "1201", "city": "Genève"}
SWISS_FIRM = SWISS | {"company_number": "CHE-100.155.212"}
INSTITUTION = {"kind": Client.Kind.INSTITUTION, "name": "Musée de Valbrune"}
FRENCH: dict[str, str] = {}
MONEGASQUE = {"country": "MC", "postcode": "98000", "city": "Monaco"}
NO_VAT = Decimal(0)


def problems(draft: InvoiceDraft) -> str:
    facts = facts_of(draft, timezone.now())
    return " ".join(problems_of(facts, document_of(facts, number="")))


def remarks(draft: InvoiceDraft) -> str:
    facts = facts_of(draft, timezone.now())
    return " ".join(remarks_of(facts, document_of(facts, number="")))
