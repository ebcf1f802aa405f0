"""Where a rule of the bench turns: the minute and the degree on either side of it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.photos.models import Photo
from repairs.readings.models import Reading
from repairs.treatment.held import Held
from repairs.treatment.models import AgreedWork, Intervention
from repairs.treatment.part_models import MaterialUse
from repairs.treatment.parts import use_material
from repairs.treatment.proof import too_hot_words
from repairs.treatment.refusals import NotProvedError
from repairs.treatment.show import plan_of
from repairs.treatment.signing import nothing_left, sign_off
from tests import factories
from tests.treatment.test_proof import asked, begun, held, wheel

MINUTE = dt.timedelta(minutes=1)


# Proof -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("early", "state"), [(0, "fine"), (1, "missing")])
def test_a_reading_of_the_very_minute_in_which_work_began_is_one_after(case, armand, early, state):
    """Moments of readings are typed to the minute, so the minute of the beginning is in."""
    work = begun(case, by=armand, readings=[asked("wheel", "after", "ecc_mm")])
    minute = work.opened_at.replace(second=0, microsecond=0)
    wheel(case, 0.5, by=armand, taken_at=minute - early * MINUTE)

    assert held(work, "after.wheel").state == state


@pytest.mark.parametrize(("before", "state"), [(0, "fine"), (1, "missing")])
def test_a_reading_kept_the_moment_work_began_is_one_after(case, armand, before, state):
    work = begun(case, by=armand, readings=[asked("wheel", "after", "ecc_mm")])
    row = wheel(case, 0.5, by=armand)
    saved_at = work.opened_at - before * dt.timedelta(microseconds=1)
    Reading.objects.filter(pk=row.pk).update(saved_at=saved_at)

    assert held(work, "after.wheel").state == state


@pytest.mark.parametrize(("early", "state"), [(0, "fine"), (1, "missing")])
def test_a_photo_sent_in_the_minute_of_the_beginning_is_one_after(case, armand, early, state):
    factories.photo(case, by=armand, phase="after")
    work = begun(case, by=armand, photos=["after"])
    minute = work.opened_at.replace(second=0, microsecond=0)
    Photo.objects.update(sent_at=minute - early * MINUTE)

    assert held(work, "photos.after").state == state


def test_the_wheel_that_was_read_too_late_is_named_beside_the_one_in_time(case, armand):
    work = begun(case, by=armand, readings=[asked("wheel", "before")])
    wheel(case, 1, by=armand, phase="before", subject="old rim", taken_at=work.opened_at)
    wheel(case, 1, by=armand, phase="before", subject="new rim")

    now = held(work, "before.wheel")

    assert (now.state, now.details, now.readings) == ("late", ("new rim",), (1, 2))


def test_a_doubtful_figure_outweighs_one_that_is_fine(case, armand):
    work = begun(case, by=armand, readings=[asked("wheel", "after", "tir_mm", "ecc_mm")])
    wheel(case, 0.5, by=armand, subject="first")
    wheel(case, 2.5, by=armand, subject="second")

    now = held(work, "after.wheel")

    assert (now.state, now.asks) == ("doubtful", False)
    assert all(words.startswith("second, ") for words in now.details)


def test_a_figure_that_nobody_read_wants_a_reason_only_where_nothing_else_was_read(case, armand):
    wanted = asked("wheel", "after", "ecc_mm", "axial_runout_mm")
    work = begun(case, by=armand, readings=[wanted])
    wheel(case, 0.5, by=armand, subject="first")
    other = begun(case, by=armand, readings=[asked("wheel", "after", "axial_runout_mm")])

    wheel(case, 0.5, by=armand, subject="second")

    assert held(work, "after.wheel").state == "fine"
    assert held(other, "after.wheel").state == "not_judged"
    assert held(other, "after.wheel").asks


def test_one_permitted_reading_speaks_beside_one_that_was_not_permitted(case, armand):
    work = begun(case, by=armand, readings=[asked("wheel", "after", "ecc_mm")])
    wheel(case, 0.5, by=armand, subject="first")
    wheel(case, 0, by=armand, subject="second", not_permitted="sealed")

    now = held(work, "after.wheel")

    assert (now.state, now.readings) == ("fine", (1, 2))


@pytest.mark.parametrize(("known", "state"), [("room_t_c", "missing"), ("room_rh_pct", "missing")])
def test_half_a_climate_is_none(case, armand, known, state):
    work = begun(case, by=armand, asks=["climate"])
    Intervention.objects.filter(pk=work.pk).update(**{known: 20})

    assert (held(work, "asks.climate").state, held(work, "asks.climate").asks) == (state, True)


@pytest.mark.parametrize(("t_c", "hot"), [("59.9", False), ("60.0", False), ("60.1", True)])
def test_hide_glue_bears_sixty_degrees_and_no_more(t_c, hot):
    use = MaterialUse(name="hide glue", glue_t_c=Decimal(t_c))

    assert bool(too_hot_words(use)) is hot


def test_glue_whose_temperature_nobody_took_wants_a_reason(case, armand):
    work = begun(case, by=armand, asks=["glue_temperature"])
    assert held(work, "asks.glue_temperature").asks

    use = MaterialUse(intervention=work, name="hide glue", glue_t_c=Decimal(58))
    use_material(use, by=armand, at=timezone.now())

    assert not held(work, "asks.glue_temperature").asks


def test_hot_glue_is_told_once_where_its_temperature_is_asked_for(case, armand):
    work = begun(case, by=armand, asks=["glue_temperature"])
    use = MaterialUse(intervention=work, name="hide glue", glue_t_c=Decimal(75))
    use_material(use, by=armand, at=timezone.now())

    page = plan_of(case).lines[0].held

    assert [one.key for one in page].count("asks.glue_temperature") == 1


@pytest.mark.parametrize(
    ("count", "words"),
    [(0, ""), (1, "a"), (4, "a; b; c; d"), (5, "a; b; c; d and 1 more")],
)
def test_four_details_are_said_and_the_rest_is_counted(count, words):
    assert Held(key="steps", state="missing", details=tuple("abcde"[:count])).details_words == words


def test_only_a_missing_photo_is_a_photo_to_be_taken():
    rows = [
        Held(key="photos.after", state="missing"),
        Held(key="photos.after", state="fine"),
        Held(key="after.wheel", state="missing"),
    ]

    assert [one.is_photo_missing for one in rows] == [True, False, False]
    assert [one.photo_phase for one in rows] == ["after", "after", ""]


# Signing -----------------------------------------------------------------------------------------


def test_work_that_was_ended_keeps_the_moment_of_its_end(plain_work, armand):
    ended_at = timezone.now() - dt.timedelta(hours=2)
    Intervention.objects.filter(pk=plain_work.pk).update(ended_at=ended_at)

    factories.signed_off(factories.ticked(plain_work, by=armand), by=armand)

    plain_work.refresh_from_db()
    assert plain_work.ended_at == ended_at


def test_work_that_was_begun_is_left_though_its_agreement_was_replaced(case, plain_work, armand):
    AgreedWork.objects.update(superseded_at=timezone.now())
    assert not nothing_left(case)

    factories.signed_off(factories.ticked(plain_work, by=armand), by=armand)

    assert nothing_left(case)


def test_a_reason_of_spaces_is_none(plain_work, armand):
    with pytest.raises(NotProvedError, match="no reason is stated"):
        sign_off(plain_work, reasons={"steps": " \t"}, words="", by=armand, at=timezone.now())
