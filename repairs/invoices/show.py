"""What the money pages show, read in a handful of queries."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.db.models import Exists, F, OuterRef, QuerySet

from repairs.cases.hand_back_models import HandBack
from repairs.cases.models import Case
from repairs.estimates.consent_models import Consent
from repairs.invoices.codes import Kind
from repairs.invoices.draft_models import InvoiceDraft
from repairs.invoices.models import Invoice, InvoiceQuerySet
from repairs.people.models import Client
from repairs.treatment.models import AgreedWork

LATEST = 30


def standing() -> InvoiceQuerySet:
    """Invoices that credit notes have not taken back as a whole: half a cent for SQLite's sums."""
    rows = Invoice.objects.asking().with_balance()
    return rows.filter(credited__lt=F("gross") - Decimal("0.005"))  # type: ignore[misc]


def cases_to_invoice() -> QuerySet[Case]:
    """Cases whose work is proved or handed back, and that nobody has billed or begun to bill."""
    billed = standing().filter(case=OuterRef("pk"), kind=Kind.INVOICE)
    begun = InvoiceDraft.objects.open().filter(case=OuterRef("pk"), kind=Kind.INVOICE)
    done = Case.objects.filter(step__in=[Case.Step.PROVED, Case.Step.HANDED_BACK])
    done = done.exclude(owner__kind=Client.Kind.HOUSE)
    unworked = HandBack.objects.filter(case=OuterRef("pk")).exclude(why_unworked="")
    done = done.filter(~Exists(unworked)).exclude(pk__in=favours())
    return done.filter(~Exists(billed), ~Exists(begun)).with_names().order_by("year", "sequence")


def favours() -> QuerySet[Case]:
    """Cases done at the counter for nothing: there is nothing to invoice."""
    works = AgreedWork.objects.live().exclude(basis=AgreedWork.Basis.COUNTER, ceiling=0)
    free = Case.objects.filter(
        agreed_works__basis=AgreedWork.Basis.COUNTER, agreed_works__ceiling=0
    )
    return free.exclude(pk__in=works.values("case"))


def _is_favour(case: Case) -> bool:
    return favours().filter(pk=case.pk).exists()


def deposits_to_ask() -> QuerySet[Case]:
    """Cases agreed to with a deposit for which no deposit invoice was made or begun."""
    asked = Consent.objects.filter(
        estimate__case=OuterRef("pk"),
        decision=Consent.Decision.AGREED,
        estimate__deposit_pct__gt=0,
    )
    billed = standing().filter(case=OuterRef("pk"))
    begun = InvoiceDraft.objects.open().filter(case=OuterRef("pk"))
    rows = Case.objects.open().filter(Exists(asked), ~Exists(billed), ~Exists(begun))
    return rows.with_names().order_by("year", "sequence")


def billing_facts(case: Case) -> dict[str, Any]:
    """What was billed of a case, and what may be billed next; wants no more than four queries."""
    rows = list(case.invoices.with_balance().order_by("issued_on", "pk"))
    billed = [one for one in rows if not one.is_credit and one.credited < one.gross]
    draft = case.invoice_drafts.open().exclude(kind=Kind.CREDIT).order_by("pk").first()
    is_house = case.owner.kind == Client.Kind.HOUSE
    is_invoiced = any(one.kind == Kind.INVOICE for one in billed)
    return {
        "invoices": rows,
        "invoice_draft": draft,
        "may_invoice": not (draft or is_house or _is_favour(case))
        and not (is_invoiced and case.ended_at),
        "is_invoiced": is_invoiced,
        "may_ask_deposit": not (draft or is_house or billed),
    }
