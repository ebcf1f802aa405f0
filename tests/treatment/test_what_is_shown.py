"""What is shown of a work: what was followed, who worked how long, what is next."""

from __future__ import annotations

import pytest
from django.urls import reverse

from repairs.readings.models import Prescription
from repairs.treatment.bag_label import bag_label
from repairs.treatment.models import AgreedWork
from repairs.treatment.outcome_models import MoveDone, places_of
from repairs.treatment.part_forms import FollowForm
from repairs.treatment.part_models import RemovedPart
from repairs.treatment.show import FollowLine, minutes_by_person, plan_of
from repairs.treatment.views import work_for
from tests import factories
from tests.conftest import NOW
from tests.treatment.bagging import bag


@pytest.mark.parametrize(
    ("done", "words"), [(None, ""), (-0.31004, "−0.31 mm"), (0.25, "0.25 mm"), (0.0, "0 mm")]
)
def test_what_was_followed_is_shown_with_its_sign_and_unit(done, words):
    advice = Prescription(pk=7, amount=0.4, unit="mm")
    form = FollowForm(instance=MoveDone(prescription=advice))

    assert FollowLine(advice, "", done, form).done_words == words


@pytest.mark.parametrize(("unit", "places"), [("cents", 1), ("mm", 3), ("", 3)])
def test_cents_have_one_place_and_all_else_three(unit, places):
    assert places_of(unit) == places


def test_minutes_of_each_are_summed_and_the_typed_ones_told_apart(plain_work, armand, lise):
    for person, minutes, typed in ((armand, 20, False), (lise, 7, True), (armand, 5, True)):
        plain_work.spells.create(
            person=person, started_at=NOW, ended_at=NOW, minutes=minutes, typed=typed
        )
    plain_work.spells.create(person=lise, started_at=NOW)  # runs still

    rows = minutes_by_person(plain_work.spells.all())

    assert {(row.person, row.minutes, row.typed) for row in rows} == {
        (armand, 25, 5),
        (lise, 7, 7),
    }


def test_the_plan_tells_what_comes_next(case, plain_work, armand):
    waiting = factories.agreed_work(case, "open_seam", by=armand)
    gone = factories.agreed_work(case, "loose_bar", by=armand, basis="house")
    AgreedWork.objects.filter(pk=gone.pk).update(dropped_at=NOW, dropped_because="dear")

    plan = plan_of(case)

    assert [line.work for line in plan.begun] == [plain_work]
    assert plan.next_to_begin is not None
    assert (plan.next_to_begin.agreed, plan.next_to_begin.minutes) == (waiting, 0)
    assert plan.next_to_prove is None
    assert plan.given_up == [gone]
    type(plain_work).objects.update(ended_at=NOW)
    ready = plan_of(case).next_to_prove
    assert ready is not None
    assert ready.work == plain_work
    assert [one.key for one in ready.open_points] == ["steps"]
    assert [one.key for one in ready.weak_points] == ["steps"]
    factories.signed_off(factories.ticked(work_for(case, 1), by=armand), by=armand)
    assert plan_of(case).next_to_prove is None


@pytest.mark.parametrize("hazards", [0, 1, 2])
def test_a_label_names_the_gravest_danger_and_counts_the_others(
    work, armand, house, case, settings, hazards
):
    settings.SITE_ADDRESS = "https://casebook.example"
    for key in ("lead", "mercury_gilding")[:hazards]:
        factories.hazard(case.instrument, by=armand, key=key)

    piece = RemovedPart.objects.get(pk=bag(work, by=armand, part="back").pk)
    body = bag_label(piece, language="en", made_at=NOW).body

    assert len(body.hazards) == min(hazards, 1)
    assert ("1 more" in "".join(body.hazards)) is (hazards == 2)
    path = reverse("treatment:bag", args=["2026-001", 1])
    assert body.address == f"https://casebook.example{path}"
    assert (body.part, body.originality) == ("back", "not known")


def test_a_label_of_what_is_in_no_list_names_no_part(work, armand, house):
    body = bag_label(bag(work, by=armand), language="en", made_at=NOW).body

    assert (body.part, body.originality, body.description) == ("", "", "a thing")
