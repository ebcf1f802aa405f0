"""What of a case is billed already, deducted or set off, and what may be billed next."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from repairs.cases.models import Case
from repairs.invoices.actions import discard_draft, open_credit
from repairs.invoices.codes import Kind
from repairs.invoices.from_case import (
    deposits_left,
    draft_of_case,
    unbilled_lines,
)
from repairs.invoices.gathering import facts_of
from repairs.invoices.models import Invoice
from repairs.invoices.set_off import set_off
from repairs.invoices.show import billing_facts
from repairs.treatment.models import AgreedWork
from tests import factories
from tests.invoices.test_from_case import worked

D = Decimal


# Billed already ------------------------------------------------------------------------------


@pytest.fixture
def stay(payer, armand) -> Case:
    """A case of somebody who can be invoiced, with an hour of work at 60.00."""
    case = factories.case(factories.instrument(payer, by=armand), by=armand)
    worked(case, armand, minutes=60, ceiling=D("500.00"))
    return case


def billed(case: Case, helene) -> Invoice:
    draft = draft_of_case(case, kind=Kind.INVOICE, by=helene, at=timezone.now())
    return factories.issued(draft, by=helene)


@pytest.mark.parametrize(
    ("credited", "hours"),
    [
        ({"quantity": D("0.25")}, [D("0.25")]),
        ({"quantity": D("0.5"), "unit_price": D("118.00")}, [D("0.5")]),  # 1.00 is left
        ({"unit": "C62", "quantity": D("0.5"), "unit_price": D("120.00")}, [D("1.0000")]),
    ],
)
def test_what_was_credited_is_to_be_billed_again(stay, helene, credited, hours):
    """Where all of the price was taken back, all of its hours are open again."""
    note = open_credit(billed(stay, helene), by=helene, at=timezone.now())
    note.lines.update(**credited)
    factories.issued(note, by=helene)

    assert [line.quantity for line in unbilled_lines(stay)] == hours


def deposit(case: Case, price: str, by) -> Invoice:
    line = factories.sold("Deposit", price, sort="free")
    return factories.issued(
        factories.draft(case.owner, line, by=by, case=case, kind=Kind.DEPOSIT), by=by
    )


def test_the_draft_of_a_case_ticks_its_deposits_until_it_is_thrown_away(stay, helene):
    first, gone = deposit(stay, "10.00", helene), deposit(stay, "5.00", helene)
    factories.issued(open_credit(gone, by=helene, at=timezone.now()), by=helene)

    draft = draft_of_case(stay, kind=Kind.INVOICE, by=helene, at=timezone.now())
    facts = facts_of(draft, timezone.now())

    assert facts.case is not None
    assert list(draft.deposits.all()) == deposits_left(stay) == [first]
    assert {one.number for one in facts.case.invoices} == {first.number, gone.number}
    discard_draft(draft, by=helene, at=timezone.now())
    assert not draft.deposits.exists()


def test_a_small_job_is_to_be_paid_at_once(payer, armand, helene):
    case = factories.case(
        factories.instrument(payer, by=armand), by=armand, reason="while_you_wait"
    )
    terms: dict[str, Any] = {
        "basis": AgreedWork.Basis.COUNTER,
        "ceiling": D("12.50"),
        "hourly_rate": None,
    }
    worked(case, armand, **terms)

    draft = draft_of_case(case, kind=Kind.INVOICE, by=helene, at=timezone.now())

    draft.refresh_from_db()
    facts = facts_of(draft, timezone.now())
    assert draft.payment_days == 0
    assert facts.case is not None
    assert [one.ceiling for one in facts.case.prices] == [D("12.50")]


def test_work_that_goes_on_is_asked_about_until_a_day_is_typed(stay, helene):
    draft = draft_of_case(stay, kind=Kind.INVOICE, by=helene, at=timezone.now())
    asked = facts_of(draft, timezone.now()).case
    draft.delivery_on = timezone.localdate()
    typed = facts_of(draft, timezone.now()).case
    draft.delivery_on, stay.ended_at = None, timezone.now()
    draft.case = stay
    ended = facts_of(draft, timezone.now()).case
    draft.kind, stay.ended_at = Kind.DEPOSIT, None
    early = facts_of(draft, timezone.now()).case

    assert asked is not None
    assert [one and one.is_unfinished for one in (asked, typed, ended, early)] == [
        True,
        False,
        False,
        False,
    ]
    assert (asked.ceiling, asked.prices) == (D("500.00"), ())


# Two deposits --------------------------------------------------------------------------------


def test_a_credit_sets_off_one_deposit_after_the_other_as_far_as_it_reaches(stay, helene):
    """60.00 and 9.60 asked, 72.00 billed: 2.40 due. 62.90 credited leave 60.50 to give back."""
    first, second = deposit(stay, "50.00", helene), deposit(stay, "8.00", helene)
    invoice = billed(stay, helene)
    note = open_credit(invoice, by=helene, at=timezone.now())
    note.lines.update(quantity=D(1), unit="C62", unit_price=D("52.42"))  # 62.90 with tax
    factories.issued(note, by=helene)

    rows = [
        (one.number, row.sort, row.amount, row.means, row.note)
        for one in (first, second, invoice)
        for row in one.payments.all()
    ]
    assert rows == [
        (first.number, "received", D("60.00"), "97", invoice.number),
        (second.number, "received", D("0.50"), "97", invoice.number),
        (invoice.number, "refund", D("-60.00"), "97", first.number),
        (invoice.number, "refund", D("-0.50"), "97", second.number),
    ]
    set_off(invoice, timezone.localdate(), by=helene, at=timezone.now())  # nothing more to set off
    assert invoice.payments.count() == 2


def test_what_may_be_billed_next_of_a_case(stay, helene):
    def shown() -> tuple[bool, bool, bool]:
        facts = billing_facts(Case.objects.select_related("owner").get(pk=stay.pk))
        names = ("may_invoice", "is_invoiced", "may_ask_deposit")
        return tuple(bool(facts[name]) for name in names)  # type: ignore[return-value]

    seen = [shown()]
    asked = deposit(stay, "10.00", helene)
    seen.append(shown())
    factories.issued(open_credit(asked, by=helene, at=timezone.now()), by=helene)
    seen.append(shown())
    invoice = billed(stay, helene)
    seen.append(shown())
    Case.objects.filter(pk=stay.pk).update(ended_at=timezone.now())
    seen.append(shown())
    factories.issued(open_credit(invoice, by=helene, at=timezone.now()), by=helene)
    seen.append(shown())

    assert seen == [
        (True, False, True),
        (True, False, False),  # a deposit stands
        (True, False, True),
        (True, True, False),  # it goes on: more may be billed
        (False, True, False),
        (True, False, True),
    ]
