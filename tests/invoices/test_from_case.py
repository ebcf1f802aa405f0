"""What a case gives to bill: recorded work, priced materials, agreed costs, deposits."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.estimates.models import OptionLine
from repairs.invoices.codes import Kind
from repairs.invoices.from_case import case_lines, deposit_lines, draft_of_case
from repairs.invoices.show import cases_to_invoice, deposits_to_ask
from repairs.treatment.actions import open_work
from repairs.treatment.agree import Terms, Wanted, write_agreed
from repairs.treatment.clocks import type_minutes
from repairs.treatment.models import AgreedWork, Intervention, WorkSpell
from repairs.treatment.part_models import MaterialUse
from repairs.treatment.parts import take_back_material, use_material
from tests import factories

AT = dt.datetime(2026, 11, 24, 14, 0, tzinfo=dt.UTC)


def worked(case: Case, by, *, minutes: int = 95, **terms) -> Intervention:
    """Work agreed to at 60 an hour, with so many minutes."""
    said: dict[str, Any] = {
        "basis": AgreedWork.Basis.CONSENT,
        "ceiling": Decimal("120.00"),
        "hourly_rate": Decimal("60.00"),
    } | terms
    wanted = Wanted(version=factories.procedure("seam"), title="Seam at the heel")
    agreed = write_agreed(case, [wanted], Terms(**said), by=by, at=AT)[0]
    work = open_work(Intervention(case=case, agreed=agreed), findings=[], parts=[], by=by, at=AT)
    spell = WorkSpell(intervention=work, person=by, started_at=AT, minutes=minutes)
    type_minutes(spell, by=by, at=AT)
    return work


@pytest.fixture
def work(case, armand, house) -> Intervention:
    return worked(case, armand)


def test_minutes_become_hours_at_the_agreed_rate(case, work):
    (line,) = case_lines(case)

    assert (line.description, line.quantity, line.unit) == (
        "Seam at the heel",
        Decimal("1.5833"),
        "HUR",
    )
    assert round(line.quantity * line.unit_price, 2) == Decimal("95.00")


def test_priced_materials_follow_and_those_taken_back_do_not(case, work, armand):
    use = MaterialUse(
        intervention=work, name="Hide glue", amount=Decimal("20.00"), unit="g", price=Decimal("3.5")
    )
    use_material(use, by=armand, at=AT)
    free = use_material(MaterialUse(intervention=work, name="Paper"), by=armand, at=AT)
    wrong = MaterialUse(intervention=work, name="Gold leaf", price=Decimal("90"))
    take_back_material(use_material(wrong, by=armand, at=AT), by=armand, at=AT)

    words = [line.description for line in case_lines(case)]

    assert words == ["Seam at the heel", "Hide glue, 20\u00a0g"]
    assert free.price is None


def test_a_small_job_is_billed_at_its_agreed_price(vielle, armand, house):
    """12.50 with 20 % tax, its string included: 10.42 and 2.08."""
    case = factories.case(vielle, by=armand, reason="while_you_wait")
    work = worked(case, armand, basis="counter", ceiling=Decimal("12.50"), hourly_rate=None)
    string = MaterialUse(intervention=work, name="String", price=Decimal("3.50"))
    use_material(string, by=armand, at=AT)

    (line,) = case_lines(case)

    assert (line.quantity, line.unit_price) == (Decimal(1), Decimal("10.42"))


def test_costs_that_only_the_estimate_knows_are_billed_as_agreed(case, armand, helene, house):
    offer = factories.estimate(case, by=helene)
    option = offer.options.get(position=1)
    OptionLine.objects.create(
        option=option, position=9, kind="outside", words="Carrier", amount=Decimal("40")
    )
    factories.consent(offer, by=armand)

    lines = {line.description: line.unit_price for line in case_lines(case)}

    assert lines["Carrier"] == Decimal("40.00")


def test_the_draft_of_a_case_holds_its_lines_and_waits_no_more(client, odile, case, work):
    Case.objects.filter(pk=case.pk).update(step="proved")
    client.force_login(odile)

    answer = client.post(reverse("invoices:draft_add"), {"case": case.number}, follow=True)

    assert "Seam at the heel" in answer.text
    assert not cases_to_invoice().exists()


def test_a_case_that_went_home_unworked_is_not_waited_for(case, armand):
    case.hand_backs.create(
        ending="handed_back",
        received_name="G",
        returned_at=AT,
        state_at_return="As it came.",
        why_unworked="Too dear",
        noted_at=AT,
        noted_by=armand,
    )
    Case.objects.filter(pk=case.pk).update(step="handed_back")

    assert not cases_to_invoice().exists()


def test_the_deposit_is_the_share_that_was_agreed_before_tax(client, odile, case, armand, helene):
    offer = factories.estimate(case, by=helene, deposit_pct=30)
    factories.consent(offer, by=armand)
    client.force_login(odile)

    page = client.get(reverse("invoices:money")).text
    (line,) = deposit_lines(case)
    draft = draft_of_case(case, kind=Kind.DEPOSIT, by=odile, at=timezone.now())

    assert "Draft the deposit invoice" in page
    assert line.unit_price > 0
    assert draft.kind == Kind.DEPOSIT
    assert not deposits_to_ask().exists()
