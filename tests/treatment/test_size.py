"""Work at size: 1,500 works of a case, and 1,500 of everything within one work."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from repairs.cases.models import Case
from repairs.people.models import User
from repairs.treatment.models import AgreedWork, Intervention, SignOff, StepNote, WorkSpell
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from repairs.treatment.show import plan_of
from repairs.treatment.signing import nothing_left
from repairs.treatment.spent import tally

MANY = 1_500
AT = dt.datetime(2026, 11, 24, 10, 0, tzinfo=dt.UTC)


def copies(row, count: int, **changed) -> list:
    """As many unsaved rows like this one, each with its own number where it has one."""
    model = type(row)
    said = {field.attname: getattr(row, field.attname) for field in model._meta.fields}
    del said["id"]
    made = [model(**(said | changed)) for _time in range(count)]
    if "number" in said:
        for number, one in enumerate(made, said["number"] + 1):
            one.number = number
    return made


def things_of(work: Intervention, person: User, count: int) -> None:
    """Spells, steps, materials, bags and new parts within one work."""
    spell = WorkSpell(
        intervention=work, person=person, started_at=AT, ended_at=AT, minutes=1, typed=True
    )
    WorkSpell.objects.bulk_create(copies(spell, count))
    note = StepNote(intervention=work, step="clean", state="done", at=AT, by=person)
    StepNote.objects.bulk_create(copies(note, count))
    use = MaterialUse(intervention=work, name="hide glue", at=AT, by=person)
    MaterialUse.objects.bulk_create(copies(use, count))
    bag = RemovedPart(
        intervention=work,
        case=work.case,
        number=0,
        part=work.case.instrument.parts.first(),
        description="a splinter",
        removed_at=AT,
        removed_by=person,
    )
    RemovedPart.objects.bulk_create(copies(bag, count))
    new = NewPart(intervention=work, description="a peg", material="boxwood", at=AT, by=person)
    NewPart.objects.bulk_create(copies(new, count))


def works_of(case: Case, work: Intervention, person: User, count: int, *, signed: bool) -> None:
    agreed = AgreedWork.objects.bulk_create(copies(work.agreed, count))
    rows = copies(work, count, ended_at=AT)
    for row, own in zip(rows, agreed, strict=True):
        row.agreed = own
    made = Intervention.objects.bulk_create(rows)
    things = [WorkSpell(intervention=row, person=person, started_at=AT) for row in made]
    for spell in things:
        spell.ended_at, spell.minutes = AT, 1
    WorkSpell.objects.bulk_create(things)
    if signed:
        SignOff.objects.bulk_create(
            [SignOff(intervention=row, by=person, at=AT, rows=[]) for row in made]
        )


@pytest.mark.parametrize("name", ["work", "proof"])
def test_a_work_with_1500_of_everything_opens_in_as_many_queries(client, work, armand, name):
    client.force_login(armand)
    address = reverse(f"treatment:{name}", args=[work.case.number, work.number])

    def opened() -> int:
        with CaptureQueriesContext(connection) as queries:
            assert client.get(address).status_code == 200
        return len(queries)

    things_of(work, armand, 2)
    few = opened()
    RemovedPart.objects.all().delete()
    things_of(work, armand, MANY)

    assert opened() == few


@pytest.mark.parametrize("signed", [False, True])
def test_a_case_with_1500_works_is_planned_in_as_many_queries(case, work, armand, signed):
    def asked() -> tuple[int, int]:
        fresh = Case.objects.with_names().get(pk=case.pk)
        with CaptureQueriesContext(connection) as queries:
            plan = plan_of(fresh)
            tally(fresh)
            nothing_left(fresh)
        return len(plan.begun), len(queries)

    works_of(case, work, armand, 2, signed=signed)
    few, queries = asked()
    other = Intervention.objects.exclude(pk=work.pk)
    SignOff.objects.all()._raw_delete(SignOff.objects.db)
    WorkSpell.objects.all().delete()
    other.delete()
    AgreedWork.objects.exclude(pk=work.agreed_id).delete()
    works_of(case, work, armand, MANY, signed=signed)

    assert few == 3
    assert asked() == (MANY + 1, queries)
