"""Photos, climate, glue and steps: what else the proof of a piece of work looks at."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.photos.models import Photo
from repairs.treatment.models import Intervention
from repairs.treatment.part_models import MaterialUse
from repairs.treatment.parts import take_back_material, use_material
from repairs.treatment.proof import proof_of
from tests import factories
from tests.treatment.test_proof import begun, held

# Photos ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wanted", "sent", "state"),
    [
        ("before", "arrival", "fine"),
        ("before", "before", "fine"),
        ("before", "after", "missing"),
        ("during", "during", "fine"),
        ("during", "before", "missing"),
        ("after", "after", "fine"),
        ("after", "return", "fine"),
        ("after", "during", "missing"),
    ],
)
def test_a_photo_of_that_phase_is_asked_for(case, armand, wanted, sent, state):
    work = begun(case, by=armand, photos=[wanted])

    factories.photo(case, by=armand, phase=sent)

    assert held(work, f"photos.{wanted}").state == state


def test_a_photo_after_earlier_work_is_none_after_this(case, armand):
    factories.photo(case, by=armand, phase="after")
    Photo.objects.update(sent_at=timezone.now() - dt.timedelta(hours=2))

    work = begun(case, by=armand, photos=["after"])

    one = held(work, "photos.after")
    assert (one.state, one.asks, one.blocks) == ("missing", True, False)


def test_a_withdrawn_photo_does_not_count(case, armand):
    work = begun(case, by=armand, photos=["before"])
    factories.photo(case, by=armand)
    Photo.objects.update(withdrawn_at=timezone.now())

    assert held(work, "photos.before").state == "missing"


# Conditions and steps ----------------------------------------------------------------------------


def test_the_climate_of_the_room_is_asked_for_where_the_procedure_wants_it(case, armand):
    work = begun(case, by=armand, asks=["climate"])
    assert held(work, "asks.climate").asks

    Intervention.objects.filter(pk=work.pk).update(room_t_c=19)
    assert held(work, "asks.climate").state == "missing"
    Intervention.objects.filter(pk=work.pk).update(room_rh_pct=50)

    assert held(work, "asks.climate").state == "fine"


def test_the_temperature_of_the_glue_is_that_of_a_material_that_stands(case, armand):
    work = begun(case, by=armand, asks=["glue_temperature"])
    use = MaterialUse(intervention=work, name="hide glue", glue_t_c=58)
    use_material(use, by=armand, at=timezone.now())
    assert held(work, "asks.glue_temperature").state == "fine"

    take_back_material(use, by=armand, at=timezone.now())

    assert held(work, "asks.glue_temperature").state == "missing"


def test_steps_that_nobody_spoke_of_are_named(case, plain_work, armand):
    now = held(plain_work, "steps")
    assert (now.state, now.asks) == ("missing", True)
    assert len(now.details) == 1

    factories.ticked(plain_work, by=armand)

    assert held(plain_work, "steps").state == "fine"


def test_glue_that_was_too_hot_wants_a_reason(case, armand):
    """Hide glue is kept at 60 °C or below (common practice, trade notes 9)."""
    work = factories.begun_work(factories.agreed_work(case, "open_seam", by=armand), by=armand)
    use = MaterialUse(intervention=work, name="hide glue", glue_t_c=Decimal("75"))
    use_material(use, by=armand, at=timezone.now())

    held = {one.key: one for one in proof_of(work)}["asks.glue_temperature"]

    assert (held.state, held.asks) == ("outside", True)
    assert "75" in held.details[0]


def test_hot_glue_is_told_at_once_also_where_no_temperature_is_asked_for(
    case, plain_work, armand, send, see
):
    place = (case.number, plain_work.number)
    assert not [one for one in proof_of(plain_work) if one.key == "asks.glue_temperature"]

    send("material_add", *place, by=armand, name="bone glue", glue_t_c="75")

    page = see("work", *place, by=armand)
    now = held(plain_work, "asks.glue_temperature")
    assert "bone glue: 75 °C, usually at most 60 °C: hide and bone glue lose their strength" in page
    assert (now.state, now.asks, now.is_weak) == ("outside", False, True)
