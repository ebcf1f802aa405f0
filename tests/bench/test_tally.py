"""The tally of a case counts what its ceiling counts, and what its invoice will ask."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from repairs.bench.docket import docket
from repairs.cases.models import Case
from repairs.einvoice.totals import totals_of
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.invoices.codes import Kind
from repairs.invoices.drafting import document_of
from repairs.invoices.from_case import draft_of_case
from repairs.invoices.gathering import facts_of
from repairs.treatment.clocks import type_minutes
from repairs.treatment.models import Intervention, WorkSpell
from repairs.treatment.part_models import MaterialUse
from repairs.treatment.parts import use_material
from repairs.treatment.spent import Spent
from tests import factories


def offered(case: Case, *, by: Any) -> None:
    """An hour and a half of work, a carrier, strings; 60.00 for looking over; 20 % tax."""
    lines = [
        factories.work_line(),
        LineWish(kind="outside", words="Carrier", amount=Decimal("40.00")),
        LineWish(kind="material", words="Strings", amount=Decimal("30.00")),
    ]
    offer = factories.estimate(
        case,
        OptionWish(kind="safe", lines=lines),
        by=by,
        survey_fee=Decimal("60.00"),
        hourly_rate=Decimal("62.00"),
    )
    factories.consent(offer, by=by)
    case.refresh_from_db()


def work_on(case: Case, minutes: int, *, by: Any) -> Intervention:
    work = factories.begun_work(case.agreed_works.get(), by=by)
    row = WorkSpell(intervention=work, person=by, started_at=timezone.now(), minutes=minutes)
    type_minutes(row, by=by, at=timezone.now())
    return work


def tally(case: Case) -> Spent:
    return docket(Case.objects.with_names().get(pk=case.pk))["plan"].spent


def asked(case: Case, *, by: Any) -> Decimal:
    draft = draft_of_case(case, kind=Kind.INVOICE, by=by, at=timezone.now())
    return totals_of(document_of(facts_of(draft, timezone.now()), number="")).gross


@pytest.fixture
def agreed(case, house, helene) -> Case:
    offered(case, by=helene)
    return case


def test_before_any_work_the_tally_has_the_costs_that_were_agreed(agreed):
    """60.00 and 40.00 and 30.00 are 130.00, with 20 % tax 156.00."""
    assert tally(agreed).total == Decimal("156.00")


@pytest.mark.parametrize("minutes", [5, 35, 95])
def test_the_tally_is_what_the_invoice_asks(agreed, helene, minutes):
    work_on(agreed, minutes, by=helene)

    assert tally(agreed).total == asked(agreed, by=helene)


def test_materials_noted_at_the_bench_take_the_place_of_those_agreed(agreed, helene):
    """60.00 + 40.00 + 0.5833 h at 62.00 (36.16) + 12.50 = 148.66: 178.39 with tax."""
    work = work_on(agreed, 35, by=helene)
    use = MaterialUse(intervention=work, name="Strings", price=Decimal("12.50"))
    use_material(use, by=helene, at=timezone.now())

    assert tally(agreed).total == Decimal("178.39")
    assert asked(agreed, by=helene) == Decimal("178.39")


def test_the_page_says_what_is_in_the_sum(agreed, armand, client):
    client.force_login(armand)

    page = client.get(agreed.get_absolute_url()).text

    assert "156.00 EUR of at most 267.60, tax included" in page
    assert "with 130.00 before tax for looking over and other agreed costs" in page


def test_nothing_is_due_after_the_owner_has_declined(case, house, helene):
    offer = factories.estimate(case, by=helene, survey_fee=Decimal("60.00"))
    factories.consent(offer, by=helene, decision="declined")

    assert tally(case).total == 0


def test_materials_of_an_emergency_bear_the_usual_tax_where_nothing_else_is_agreed(
    case, house, helene
):
    terms: dict[str, Any] = {"basis": "emergency", "because": "It gapes.", "hourly_rate": None}
    work = factories.begun_work(factories.agreed_work(case, "free", by=helene, **terms), by=helene)
    use = MaterialUse(intervention=work, name="Glue", price=Decimal("10.00"))
    use_material(use, by=helene, at=timezone.now())

    assert tally(case).total == asked(case, by=helene) == Decimal("12.00")


def test_where_no_tax_is_added_none_is_said_to_be_in_the_sum(house, vielle, armand, client):
    """An instrument of the house: 0.97 of materials, no rate, no tax."""
    case = factories.case(vielle, by=armand, reason="house")
    agreed = factories.agreed_work(case, by=armand, hourly_rate=None, basis="house")
    work = factories.begun_work(agreed, by=armand)
    use = MaterialUse(intervention=work, name="Bone", price=Decimal("0.97"))
    use_material(use, by=armand, at=timezone.now())
    client.force_login(armand)

    page = client.get(case.get_absolute_url()).text

    assert "0.97 EUR" in page
    assert "tax included" not in page
