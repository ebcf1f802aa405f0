"""What the work has come to, against what the owner agreed to."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from repairs.treatment.agree import drop_work
from repairs.treatment.clocks import type_minutes
from repairs.treatment.models import AgreedWork, Intervention, WorkSpell
from repairs.treatment.part_models import MaterialUse
from repairs.treatment.parts import take_back_material, use_material
from repairs.treatment.show import plan_of
from repairs.treatment.spent import Spent
from tests import factories


def minutes(work: Intervention, count: int, *, by: Any) -> None:
    row = WorkSpell(intervention=work, person=by, started_at=timezone.now(), minutes=count)
    type_minutes(row, by=by, at=timezone.now())


def material(work: Intervention, price: str, *, by: Any) -> MaterialUse:
    row = MaterialUse(intervention=work, name="strings", price=Decimal(price))
    return use_material(row, by=by, at=timezone.now())


def begun(case, *, by: Any, **terms: Any) -> Intervention:
    return factories.begun_work(factories.agreed_work(case, "free", by=by, **terms), by=by)


def spent(case) -> Spent:
    return plan_of(case).spent


def test_minutes_are_worth_the_agreed_hourly_rate(case, armand, helene):
    """95 min at 60.00 an hour are 95.00; 20.00 of strings make 115.00; with 20 % tax 138.00."""
    work = begun(case, by=armand, tax_pct=Decimal(20))
    minutes(work, 50, by=armand)
    minutes(work, 45, by=helene)
    material(work, "20.00", by=armand)

    now = spent(case)

    assert (now.minutes, now.net, now.total) == (95, Decimal("115.00"), Decimal("138.00"))


def test_a_material_that_was_taken_back_costs_nothing(case, armand):
    work = begun(case, by=armand)
    take_back_material(material(work, "20.00", by=armand), by=armand, at=timezone.now())

    assert spent(case).total == 0


def test_minutes_are_rounded_once_on_the_sum(case, armand):
    """Three times 1 min at 50.00 an hour are 2.50, not three times 0.83."""
    work = begun(case, by=armand, hourly_rate=Decimal("50.00"))
    for _time in range(3):
        minutes(work, 1, by=armand)

    assert spent(case).net == Decimal("2.50")


@pytest.mark.parametrize(
    ("worked", "asked", "over"),
    [(89, False, False), (90, True, False), (100, True, False), (101, True, True)],
)
def test_the_owner_is_asked_at_the_sum_that_was_promised_and_above_the_ceiling(
    case, armand, client, worked, asked, over
):
    work = begun(case, by=armand, ceiling=Decimal("100.00"), stop_at=Decimal("90.00"))
    minutes(work, worked, by=armand)

    now = spent(case)

    assert (now.is_to_be_asked, now.is_over) == (asked, over)
    client.force_login(armand)
    page = client.get(case.get_absolute_url()).text
    assert ("More is spent than was agreed" in page) is over
    assert ("the owner was to be asked" in page) is (asked and not over)
    assert "of at most 100.00" in page


def test_the_ceiling_with_tax_is_held_against_the_sum_with_tax(case, armand):
    """90 min at 60.00 are 90.00 before tax and 108.00 with 20 %: more than the 100.00 agreed."""
    work = begun(case, by=armand, ceiling=Decimal("100.00"), tax_pct=Decimal(20))
    minutes(work, 90, by=armand)

    assert spent(case).is_over


def test_the_ceiling_agreed_last_holds_also_when_it_is_lower(case, armand):
    begun(case, by=armand, ceiling=Decimal("500.00"))
    factories.agreed_work(case, "free", by=armand, ceiling=Decimal("300.00"))

    assert spent(case).ceiling == Decimal("300.00")


def test_the_ceiling_of_what_was_given_up_holds_no_longer(case, armand):
    begun(case, by=armand, ceiling=Decimal("300.00"))
    later = factories.agreed_work(case, "free", by=armand, ceiling=Decimal("500.00"))
    drop_work(later, because="not needed", by=armand, at=timezone.now())

    assert spent(case).ceiling == Decimal("300.00")


def test_work_without_a_ceiling_never_reaches_it(case, armand):
    minutes(begun(case, by=armand), 600, by=armand)

    now = spent(case)
    assert (now.ceiling, now.is_to_be_asked, now.is_over) == (None, False, False)


def test_minutes_of_emergency_work_stand_apart_and_its_materials_are_asked_for(
    case, armand, client
):
    """30 min at 60.00 are 30.00, with 10.00 of glue 40.00, with 20 % tax 48.00."""
    minutes(begun(case, by=armand, tax_pct=Decimal(20), ceiling=Decimal(90)), 30, by=armand)
    emergency = AgreedWork.Basis.EMERGENCY
    rescue = begun(case, by=armand, basis=emergency, because="It gapes.", hourly_rate=None)
    minutes(rescue, 45, by=armand)
    material(rescue, "10.00", by=armand)

    now = spent(case)

    assert (now.minutes, now.emergency_minutes, now.total) == (30, 45, Decimal("48.00"))
    client.force_login(armand)
    page = client.get(case.get_absolute_url()).text
    assert "48.00 EUR of at most 90.00, tax included" in page
    assert "Emergency work apart: 45 min" in page


def test_a_price_agreed_at_the_counter_is_the_sum_whatever_the_minutes(case, armand):
    price = {"basis": AgreedWork.Basis.COUNTER, "ceiling": Decimal(22), "hourly_rate": None}
    minutes(begun(case, by=armand, tax_pct=Decimal(20), **price), 40, by=armand)

    now = spent(case)

    assert (now.net, now.total, now.is_over) == (Decimal("18.33"), Decimal("22.00"), False)


@pytest.mark.parametrize("field", ["ceiling", "tax_pct"])
def test_the_database_knows_no_negative_sums(case, armand, field):
    with pytest.raises(IntegrityError), transaction.atomic():
        factories.agreed_work(case, "free", by=armand, **{field: Decimal(-1)})


@pytest.mark.parametrize(
    ("terms", "sentence"),
    [
        ({"stop_at": "60", "ceiling": "90"}, "The sum is reached at which the owner was to be"),
        ({"stop_at": "50", "ceiling": "59"}, "More is spent than was agreed."),
        ({"stop_at": "61", "ceiling": "90"}, ""),
    ],
)
def test_whoever_starts_a_clock_hears_that_the_sum_agreed_is_reached(
    case, armand, client, send, see, terms, sentence
):
    """An hour at 60.00 without tax."""
    work = begun(case, by=armand, **{name: Decimal(sum_) for name, sum_ in terms.items()})
    minutes(work, 60, by=armand)
    place = (case.number, work.number)

    page = see("work", *place, by=armand)
    send("clock", *place, by=armand, do="start")
    after = see("work", *place, by=armand)
    bench = client.get("/").text

    assert f"60.00 EUR of at most {terms['ceiling']}.00, tax included" in page
    assert "without what runs on a clock now" in after
    if not sentence:
        assert not any("owner was to be asked" in one for one in (page, after, bench))
        return
    assert page.count(sentence) == 1
    assert after.count(sentence) == 2  # beside the clock, and as the answer to the button
    assert sentence in bench
