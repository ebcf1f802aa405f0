"""One compiled sheet of every kind of paper, of a case that has something to say in each."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Any

from django.utils import timezone, translation

from repairs.cases.compile import intake_receipt
from repairs.cases.models import Case
from repairs.estimates.compile import estimate_sheet
from repairs.estimates.consent.record import consent_sheet
from repairs.invoices.actions import open_credit
from repairs.invoices.compile import invoice_sheet
from repairs.invoices.gathering import facts_of
from repairs.invoices.issuing import proposed
from repairs.papers.kinds import KINDS, compile_paper
from repairs.payments.claims import claim
from repairs.payments.reminder_letter import reminder_sheet
from repairs.payments.statements import statement_sheet
from repairs.people.house_models import House
from repairs.people.models import Client
from repairs.press.document import Sheet
from tests import factories
from tests.papers import working
from tests.papers.conftest import going
from tests.readings import samples

AT = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


def filled(case: Case, finding: Any, *, by: Any) -> Case:
    """Every gauge is read before and after, photos make pairs, and the return is written down."""
    working.pictured(case, finding, by=by)
    case.instrument.parts.filter(key="pegs").update(material="rosewood_unknown")
    for gauge in samples.SAMPLES:
        for phase, at in (("before", working.BEFORE), ("after", working.AFTER)):
            samples.reading(case, by=by, gauge=gauge, phase=phase, taken_at=at)
    going(case, by)
    return case


def of_the_case(case: Case, language: str) -> Iterator[Sheet]:
    for kind in KINDS:
        yield compile_paper(kind, case, language=language, made_at=AT)
    yield intake_receipt(case, language=language, made_at=AT)


def of_the_offer(case: Case, language: str, *, by: Any) -> Iterator[Sheet]:
    """The owner agreed to the first of the ways that were offered, as shown in that language."""
    if case.step == Case.Step.TAKEN_IN:
        factories.looked_over(case, by=by)
    estimate = factories.estimate(case, by=by, issued=False)
    factories.issue_estimate(case, estimate, by=by, language=language)
    yield estimate_sheet(estimate, language=language, made_at=AT)
    yield consent_sheet(factories.consent(estimate, by=by), made_at=AT)


def of_the_payer(payer: Client, language: str, *, by: Any) -> Iterator[Sheet]:
    """An invoice that nobody paid, what is asked for it, and the note that takes it back."""
    House.objects.update(**factories.BILLING)
    Client.objects.filter(pk=payer.pk).update(language=language)
    payer.refresh_from_db()
    invoice, now = factories.late(payer, by=by), timezone.now()
    with translation.override(language):
        draft = factories.draft(payer, by=by)
        credit = open_credit(invoice, by=by, at=now)
        yield invoice_sheet(proposed(facts_of(draft, now), now), made_at=now)
        yield invoice_sheet(proposed(facts_of(credit, now), now), made_at=now)
        yield reminder_sheet(invoice, claim(invoice, timezone.localdate()), made_at=now)
    yield statement_sheet(payer, language=language, made_at=now)
