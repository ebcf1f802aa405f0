"""What the proof of a piece of work still needs: it looks at rows, never at a tick."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.utils import timezone

from repairs.readings.models import Reading
from repairs.treatment.held import Held
from repairs.treatment.models import Intervention
from repairs.treatment.proof import proof_of
from tests import factories
from tests.readings import samples

NO_LIMITS: list[Any] = []


def asked(gauge: str, phase: str, *figures: str, limits: list[Any] = NO_LIMITS) -> dict[str, Any]:
    return {"gauge": gauge, "phase": phase, "figures": list(figures), "limits": limits}


def begun(case, *, by, **content: Any) -> Intervention:
    version = factories.procedure_version(by=by, **content)
    return factories.begun_work(factories.agreed_work(case, version, by=by), by=by)


def held(work: Intervention, key: str) -> Held:
    fresh = Intervention.objects.select_related("version", "case__instrument").get(pk=work.pk)
    return next(one for one in proof_of(fresh) if one.key == key)


def wheel(case, ecc: float, *, by, phase: str = "after", **fields: Any) -> Reading:
    words = samples.wheel(samples.wheel_rows(ecc=ecc))
    return samples.reading(case, by=by, words=words, phase=phase, **fields)


@pytest.fixture
def truing(case, armand) -> Intervention:
    """A wheel is to be read before and after; its run-out and eccentricity count."""
    return begun(
        case,
        by=armand,
        readings=[asked("wheel", "before"), asked("wheel", "after", "tir_mm", "ecc_mm")],
    )


def test_a_reading_that_is_asked_for_is_missing_until_it_is_there(case, truing, armand):
    first = held(truing, "before.wheel")
    assert (first.state, first.blocks, first.asks, first.gauge) == ("missing", True, False, "wheel")

    reading = wheel(case, 10, by=armand, phase="before", taken_at=truing.opened_at)

    now = held(truing, "before.wheel")
    assert (now.state, now.blocks, now.readings) == ("fine", False, (reading.number,))


def test_how_bad_it_was_before_the_work_is_no_fault_of_the_work(case, truing, armand):
    wheel(case, 30, by=armand, phase="before", taken_at=truing.opened_at)

    assert held(truing, "before.wheel").state == "fine"


def test_a_reading_before_that_was_taken_after_the_beginning_wants_a_reason(case, truing, armand):
    late = wheel(case, 10, by=armand, phase="before")

    now = held(truing, "before.wheel")

    assert (now.state, now.asks, now.blocks) == ("late", True, False)
    assert now.words == "taken after the work was begun"
    assert now.is_weak
    assert now.readings == (late.number,)


def test_one_in_time_is_enough_however_many_followed(case, truing, armand):
    wheel(case, 10, by=armand, phase="before", taken_at=truing.opened_at)
    wheel(case, 9, by=armand, phase="before")

    assert held(truing, "before.wheel").state == "fine"


def test_a_procedure_that_records_what_is_found_has_its_reading_within_the_work(case, armand):
    steps = [{"key": "as_found", "label": {"en": "record it", "fr": "relever"}}]
    work = begun(case, by=armand, readings=[asked("wheel", "before")], steps=steps)

    wheel(case, 10, by=armand, phase="before")

    assert held(work, "before.wheel").state == "fine"


def test_a_reading_before_is_not_one_after(case, truing, armand):
    wheel(case, 1, by=armand, phase="before")

    assert held(truing, "after.wheel").state == "missing"


@pytest.mark.parametrize("phase", ["before", "during", "follow_up"])
def test_a_reading_must_be_marked_as_taken_after_the_work(case, truing, armand, phase):
    wheel(case, 1, by=armand, phase=phase)

    assert held(truing, "after.wheel").state == "missing"


def test_a_reading_marked_after_but_taken_before_this_work_does_not_count(case, truing, armand):
    an_hour_ago = timezone.now() - dt.timedelta(hours=1)
    wheel(case, 1, by=armand, taken_at=an_hour_ago)

    assert held(truing, "after.wheel").state == "missing"


def test_a_reading_kept_before_this_work_was_begun_does_not_count(case, armand):
    wheel(case, 1, by=armand, taken_at=timezone.now() + dt.timedelta(minutes=3))

    work = begun(case, by=armand, readings=[asked("wheel", "after")])

    assert held(work, "after.wheel").state == "missing"


def test_a_withdrawn_reading_does_not_count(case, truing, armand):
    Reading.objects.filter(pk=wheel(case, 1, by=armand).pk).update(withdrawn_at=timezone.now())

    assert held(truing, "after.wheel").state == "missing"


@pytest.mark.parametrize(
    ("ecc", "state", "asks"),
    [(0.5, "fine", False), (10, "outside", True), (2.5, "doubtful", False)],
)
def test_the_reading_after_is_held_against_the_limits(case, truing, armand, ecc, state, asks):
    wheel(case, ecc, by=armand)

    now = held(truing, "after.wheel")
    assert (now.state, now.asks, now.blocks) == (state, asks, False)
    assert state == "fine" or any("run-out" in figure for figure in now.details)


def test_only_the_figures_that_the_procedure_looks_at_count(case, armand):
    work = begun(case, by=armand, readings=[asked("wheel", "after", "oval_amp_mm")])

    wheel(case, 10, by=armand)

    assert held(work, "after.wheel").state == "fine"


def test_a_procedure_may_hold_a_figure_to_a_limit_of_its_own(case, armand):
    """Run-out 0.20 mm: outside the usual 0.05, within the 0.30 that this procedure bears."""
    own = {"figure": "tir_mm", "lower": None, "upper": 0.3, "unit": "mm", "source": "the house"}
    work = begun(case, by=armand, readings=[asked("wheel", "after", "tir_mm", limits=[own])])

    reading = wheel(case, 10, by=armand)

    assert samples.verdict_of(reading, "tir_mm").word == "outside"
    assert held(work, "after.wheel").state == "fine"


def test_a_reading_without_the_figure_that_counts_asks_for_a_reason(case, armand):
    """The side dial was not read: the wheel may well run true, but nobody knows how it wobbles."""
    work = begun(case, by=armand, readings=[asked("wheel", "after", "axial_runout_mm")])

    wheel(case, 0.5, by=armand)

    now = held(work, "after.wheel")
    assert (now.state, now.asks) == ("not_judged", True)
    assert now.details == ("not read: side run-out",)


def test_a_figure_that_lacks_beside_one_that_is_fine_is_named(case, armand):
    work = begun(case, by=armand, readings=[asked("wheel", "after", "ecc_mm", "axial_runout_mm")])

    wheel(case, 0.5, by=armand)

    now = held(work, "after.wheel")
    assert (now.state, now.asks, now.details) == ("fine", False, ("not read: side run-out",))


def test_a_card_that_judges_nothing_is_on_record_and_asks_for_nothing(case, armand):
    work = begun(case, by=armand, readings=[asked("voicing_card", "after")])
    words = samples.card("voicing_card", string="Mouche", paper="passes", sound_open="speaks")

    samples.reading(case, by=armand, gauge="voicing_card", words=words, phase="after")

    assert held(work, "after.voicing_card").state in ("not_judged", "fine")
    assert not held(work, "after.voicing_card").asks


def test_the_last_reading_of_each_subject_counts_and_the_gravest_speaks(case, truing, armand):
    for subject, ecc in (("first", 10), ("first", 0.5), ("second", 0.5), ("third", 10)):
        wheel(case, ecc, by=armand, subject=subject)

    now = held(truing, "after.wheel")
    assert (now.state, now.readings) == ("outside", (2, 3, 4))
    assert all(figure.startswith("third, ") for figure in now.details)


def test_not_permitted_satisfies_and_says_why(case, truing, armand):
    wheel(case, 0, by=armand, not_permitted="may not be turned")

    now = held(truing, "after.wheel")
    assert (now.state, now.blocks, now.asks) == ("not_permitted", False, False)
    assert now.details == ("may not be turned",)


def test_not_permitted_does_not_hide_a_bad_reading_of_the_same_thing(case, truing, armand):
    wheel(case, 10, by=armand)
    wheel(case, 0, by=armand, not_permitted="not again, please")

    now = held(truing, "after.wheel")
    assert (now.state, now.asks) == ("outside", True)


def test_a_gauge_that_does_not_fit_the_instrument_is_not_asked_for(owner, helene, armand):
    violin = factories.instrument(owner, by=helene, kind="violin")
    case = factories.case(violin, by=armand)

    work = begun(case, by=armand, readings=[asked("wheel", "after")])

    assert [one.key for one in proof_of(work)] == ["steps"]


# On the screen -----------------------------------------------------------------------------------


def test_what_is_missing_leads_to_the_sheet_in_its_phase(case, truing, lise, see, client):
    page = see("work", case.number, truing.number, by=lise)
    place = f"/cases/{case.number}/readings/take/wheel/"
    assert f"{place}?phase=after" in page or "?phase=after" in page
    address = next(part for part in page.split('"') if part.endswith("?phase=after"))

    sheet = client.get(address).content.decode()

    assert '<option value="after" selected>' in sheet


def test_the_docket_says_what_is_still_missing(case, truing, armand, client):
    client.force_login(armand)
    page = " ".join(client.get(case.get_absolute_url()).content.decode().split())
    assert "✕ Wheel, dial readings, before work, ✕ Wheel, dial readings, after work" in page

    wheel(case, 10, by=armand, phase="before", taken_at=truing.opened_at)
    wheel(case, 0.5, by=armand)
    factories.ticked(truing, by=armand)

    assert "everything is there" in client.get(case.get_absolute_url()).content.decode()
