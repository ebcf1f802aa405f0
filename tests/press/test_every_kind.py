"""Every kind of paper is printed for good, in both languages, and held against the standards.

The seven papers of a case that can be made at its desk: ``tests/papers/test_kinds.py``.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator

import pytest
from django.utils import timezone

from repairs.cases.compile import case_label, intake_receipt
from repairs.cases.models import Case
from repairs.estimates.compile import estimate_sheet
from repairs.estimates.consent.record import consent_sheet
from repairs.invoices.actions import open_credit
from repairs.invoices.compile import invoice_sheet
from repairs.invoices.drafting import document_of
from repairs.papers.kinds import KINDS
from repairs.payments.reminders import claim, reminder_sheet
from repairs.payments.statements import statement_sheet
from repairs.people.models import User
from repairs.press.actions import propose_seal
from repairs.press.document import Sheet
from repairs.press.models import Paper
from repairs.press.render import render
from tests import factories
from tests.outside.verapdf import validate

NOW = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)
Compiled = Iterator[Sheet]


def of_a_case(case: Case, language: str, by: User) -> Compiled:
    seal = propose_seal("intake_receipt", case.log_key, by=by, at=NOW)
    yield intake_receipt(case, language=language, made_at=NOW, seal=seal)
    yield case_label(case, language=language, made_at=NOW)


def of_an_offer(case: Case, language: str, by: User) -> Compiled:
    offer = factories.estimate(case, by=by, issued=False)
    yield estimate_sheet(offer, language=language, made_at=NOW)
    factories.issue_estimate(factories.looked_over(case, by=by), offer, by=by, language=language)
    yield consent_sheet(factories.consent(offer, by=by, replaces=True), made_at=NOW)


def of_money(case: Case, language: str, by: User) -> Compiled:
    case.owner.language = language
    case.owner.save()
    draft = factories.draft(case.owner, by=by)
    yield invoice_sheet(document_of(draft, number="", at=NOW), made_at=NOW)
    invoice = factories.late(case.owner, by=by)
    credit = open_credit(invoice, by=by, at=timezone.now())
    yield invoice_sheet(document_of(credit, number="", at=NOW), made_at=NOW)
    today = timezone.localdate()
    yield reminder_sheet(invoice, claim(invoice, today), made_at=timezone.now())
    yield statement_sheet(case.owner, language=language, made_at=timezone.now())


WAYS: tuple[Callable[[Case, str, User], Compiled], ...] = (of_a_case, of_an_offer, of_money)


@pytest.mark.real_press
def test_every_other_paper_is_archival_and_accessible_in_both_languages(
    shop, payer, helene, tmp_path
):
    made = []
    for language in ("en", "fr"):
        for compiled in WAYS:
            instrument = factories.instrument(payer, by=helene)
            case = factories.case(instrument, by=helene)
            made += list(compiled(case, language, helene))
    for number, sheet in enumerate(made):
        pdf, _pages = render(sheet)
        (tmp_path / f"{number}-{sheet.kind}-{sheet.language}.pdf").write_bytes(pdf)

    found = validate(sorted(tmp_path.iterdir()))

    assert len(found) == len(made)
    assert {name: faults for name, faults in found.items() if faults != CLEAN} == {}
    printed = {(sheet.kind, sheet.language) for sheet in made}
    wanted = {kind for kind in Paper.Kind.values if kind not in KINDS} | {"label"}
    assert printed == {(kind, language) for kind in wanted for language in ("en", "fr")}


CLEAN: dict[str, list[str]] = {"3a": [], "ua1": []}
