"""Where a sum, a clock or an agreement turns: the cent and the second on either side of it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from repairs.treatment.agree import Terms, Wanted, hold_all_to, split_worked
from repairs.treatment.clocks import is_left_on, type_minutes
from repairs.treatment.models import AgreedWork, Intervention, WorkSpell
from repairs.treatment.part_models import MaterialUse
from repairs.treatment.parts import use_material
from repairs.treatment.show import plan_of
from repairs.treatment.spent import hours_of
from tests import factories

# Spent -------------------------------------------------------------------------------------------


def minutes(work: Intervention, count: int, *, by: Any) -> None:
    row = WorkSpell(intervention=work, person=by, started_at=timezone.now(), minutes=count)
    type_minutes(row, by=by, at=timezone.now())


COSTS = {
    "ceiling": Decimal(900),
    "survey_fee": Decimal("30.00"),
    "outside_costs": Decimal("12.50"),
    "material_costs": Decimal("8.25"),
}


def test_what_was_agreed_beside_the_hours_is_part_of_the_sum(case, armand):
    """30.00 + 12.50 + 8.25 = 50.75; with 20 % tax 60.90."""
    work = factories.agreed_work(case, "free", by=armand, tax_pct=Decimal(20), **COSTS)
    factories.begun_work(work, by=armand)

    now = plan_of(case).spent

    assert (now.fixed, now.net, now.total) == (
        Decimal("50.75"),
        Decimal("50.75"),
        Decimal("60.90"),
    )
    assert now.is_taxed


def test_a_material_that_was_priced_at_the_bench_stands_in_for_those_agreed(case, armand):
    """30.00 + 12.50 + 3.00 noted = 45.50; no tax."""
    work = factories.begun_work(factories.agreed_work(case, "free", by=armand, **COSTS), by=armand)
    use = MaterialUse(intervention=work, name="strings", price=Decimal(3))
    use_material(use, by=armand, at=timezone.now())

    now = plan_of(case).spent

    assert (now.fixed, now.total, now.is_taxed) == (Decimal("42.50"), Decimal("45.50"), False)


def test_materials_of_a_price_agreed_at_the_counter_are_within_it(case, armand):
    price = {"basis": AgreedWork.Basis.COUNTER, "ceiling": Decimal(24), "hourly_rate": None}
    work = factories.begun_work(factories.agreed_work(case, "free", by=armand, **price), by=armand)
    use = MaterialUse(intervention=work, name="strings", price=Decimal(7))
    use_material(use, by=armand, at=timezone.now())

    assert plan_of(case).spent.total == Decimal("24.00")


def test_the_usual_tax_is_taken_where_no_agreement_names_another(case, armand):
    """10.00 of glue in an emergency, at the usual 20 %: 12.00."""
    terms = {"basis": AgreedWork.Basis.EMERGENCY, "because": "It gapes.", "hourly_rate": None}
    work = factories.begun_work(factories.agreed_work(case, "free", by=armand, **terms), by=armand)
    use = MaterialUse(intervention=work, name="glue", price=Decimal(10))
    use_material(use, by=armand, at=timezone.now())

    assert plan_of(case, Decimal(20)).spent.total == Decimal("12.00")


def test_two_rates_of_tax_are_each_taken_of_their_own_sum(case, armand):
    """60 min at 60.00 with 20 % and 60 min with 10 %: 72.00 + 66.00."""
    for pct in (20, 10):
        row = factories.agreed_work(case, "free", by=armand, tax_pct=Decimal(pct))
        minutes(factories.begun_work(row, by=armand), 60, by=armand)

    assert plan_of(case).spent.total == Decimal("138.00")


@pytest.mark.parametrize(("count", "hours"), [(0, "0"), (1, "0.0167"), (50, "0.8333"), (90, "1.5")])
def test_hours_have_four_places(count, hours):
    assert hours_of(count) == Decimal(hours)


# Clocks ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("seconds", "left"), [(-1, False), (0, False), (1, True)])
def test_ten_hours_are_a_long_day_and_no_more(work, armand, seconds, left):
    start = dt.datetime(2026, 11, 24, 6, 0, tzinfo=dt.UTC)
    spell = WorkSpell(intervention=work, person=armand, started_at=start)

    assert is_left_on(spell, start + dt.timedelta(hours=10, seconds=seconds)) is left


# Agreed ------------------------------------------------------------------------------------------


def test_what_is_wanted_and_begun_already_is_not_agreed_to_once_more(case, agreed, finding, armand):
    work = factories.begun_work(agreed, by=armand)
    other = factories.finding(case, by=armand)
    version = agreed.version
    same = Wanted(version=version, findings=[finding])
    more = Wanted(version=version, findings=[finding, other])
    new = Wanted(version=version, findings=[other])
    none = Wanted(version=version, title="another line")

    left, found = split_worked([same, same, more, new, none], [work])

    assert left == [more, new, none]
    assert found == [work]


def test_work_for_no_finding_is_known_by_its_line_of_words(case, armand):
    row = factories.agreed_work(case, "free", by=armand)
    AgreedWork.objects.filter(pk=row.pk).update(title="a new strap button")
    work = factories.begun_work(AgreedWork.objects.get(pk=row.pk), by=armand)
    same = Wanted(version=row.version, title="a new strap button")
    other = Wanted(version=row.version, title="a new peg")
    seam = Wanted(version=factories.agreed_work(case, "open_seam", by=armand).version)

    assert split_worked([same, other, seam], [work]) == ([other, seam], [work])


EMERGENCY = {"basis": AgreedWork.Basis.EMERGENCY, "because": "It gapes."}


def test_a_new_consent_does_not_replace_what_the_principal_decided_in_an_emergency(case, armand):
    rescue = factories.agreed_work(case, "free", by=armand, **EMERGENCY)
    earlier = factories.agreed_work(case, "free", by=armand)

    factories.agreed_work(case, "free", by=armand)

    rescue.refresh_from_db()
    earlier.refresh_from_db()
    assert (rescue.stands, earlier.stands) == (True, False)


def test_an_emergency_replaces_no_consent(case, armand):
    earlier = factories.agreed_work(case, "free", by=armand)

    factories.agreed_work(case, "free", by=armand, **EMERGENCY)

    earlier.refresh_from_db()
    assert earlier.stands


def test_the_last_ceiling_holds_for_all_that_stands_and_for_nothing_else(case, armand):
    now = timezone.now()
    rows = [factories.agreed_work(case, "free", by=armand, ceiling=Decimal(n)) for n in (10, 20)]
    begun_one = factories.agreed_work(case, "free", by=armand, ceiling=Decimal(30))
    rescue = factories.agreed_work(case, "free", by=armand, ceiling=Decimal(40), **EMERGENCY)
    AgreedWork.objects.filter(pk=rows[1].pk).update(
        superseded_at=None, dropped_at=now, dropped_because="dear"
    )

    hold_all_to(case, Terms(basis=AgreedWork.Basis.CONSENT, ceiling=Decimal(99), stop_at=None))

    ceilings = dict(AgreedWork.objects.values_list("pk", "ceiling"))
    assert [ceilings[row.pk] for row in (*rows, begun_one, rescue)] == [10, 20, 99, 40]
