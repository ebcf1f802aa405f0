"""The causes of a case: its newest readings, its findings, and the page that shows them."""

from __future__ import annotations

import math
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.causes.diagnosis import diagnose, evidence_of, terms_of
from repairs.findings import actions as finding_actions
from repairs.readings.actions import save_reading
from repairs.readings.models import Reading, Result, Verdict
from tests import factories

pytestmark = pytest.mark.django_db


def read(
    case: Case, gauge: str, words: dict[str, str], *, by: Any, card: Any = None, **fields: Any
) -> Reading:
    """A kept reading with the given verdicts; outside lies above a limit of 1."""
    now = timezone.now()
    number = case.readings.count() + 1
    row = Reading.objects.create(
        case=case, gauge=gauge, number=number, taken_at=now, saved_at=now, taken_by=by, **fields
    )
    output = {"card": card} if card else {}
    result = Result.objects.create(
        reading=row, version=f"{gauge} 1", output=output, computed_at=now
    )
    values = {"inside": 0.5, "doubtful": 1.0, "outside": 2.0, "not_judged": 0.5}
    for figure, word in words.items():
        Verdict.objects.create(
            result=result, figure=figure, value=values[word], u=0.01, upper=1.0, word=word
        )
    return row


def test_the_newest_reading_of_a_gauge_counts(case, armand):
    read(case, "wheel", {"ecc_mm": "outside"}, by=armand)
    before = diagnose(case, ["swells_once"])

    read(case, "wheel", {"ecc_mm": "inside", "tir_mm": "inside"}, by=armand, phase="after")
    after = diagnose(case, ["swells_once"])

    assert before[0].key == "wheel_eccentric"
    assert after[0].key == "rim_greasy"


def dial(case: Case, swing: float, *, by: Any) -> Reading:
    """A wheel read at 24 places through its own sheet and gauge, in hundredths of a millimetre."""
    rows = [
        {
            "angle_deg": str(angle),
            "reading": f"{swing * math.cos(math.radians(angle)) + angle % 2 / 10:.2f}",
        }
        for angle in range(0, 360, 15)
    ]
    fields = {"mean_diameter_mm": "170", "scale": "hundredths", "sign": "1"}
    row = Reading(
        case=case, gauge="wheel", taken_at=timezone.now(), raw={"fields": fields, "rows": rows}
    )
    return save_reading(row, by=by, at=timezone.now())


def test_a_wheel_that_was_really_read_turns_the_order_of_the_causes(case, armand):
    asked = diagnose(case, ["swells_once"])
    dial(case, 10.0, by=armand)
    swings = diagnose(case, ["swells_once"])
    unasked = diagnose(case, [])
    dial(case, 0.2, by=armand)
    runs_true = diagnose(case, ["swells_once"])

    assert swings[0].key == unasked[0].key == "wheel_eccentric"
    assert swings[0].share > asked[0].share
    assert runs_true[0].key == "rim_greasy"
    assert diagnose(case, []) == []


def test_a_withdrawn_or_forbidden_reading_says_nothing(case, armand):
    row = read(case, "wheel", {"ecc_mm": "outside"}, by=armand)
    row.withdrawn_at = timezone.now()
    row.save()
    Reading.objects.create(
        case=case, gauge="wheel", number=2, taken_at=timezone.now(), saved_at=timezone.now(),
        taken_by=armand, not_permitted="the wheel may not be turned",
    )  # fmt: skip

    assert evidence_of(case) == {}
    assert diagnose(case, []) == []


def test_the_newest_result_of_a_reading_counts(case, armand):
    row = read(case, "wheel", {"ecc_mm": "outside"}, by=armand)
    anew = Result.objects.create(
        reading=row, version="wheel 2", output={}, computed_at=timezone.now()
    )
    Verdict.objects.create(result=anew, figure="ecc_mm", value=0.5, upper=1.0, word="inside")

    assert evidence_of(case) == {"wheel.ecc_mm": "inside"}


def test_the_worst_row_of_a_figure_speaks_and_each_subject_has_its_own(case, armand):
    gaps = {"rest_gap_mm:1": "inside", "rest_gap_mm:2": "outside", "rest_gap_mm:3": "doubtful"}
    read(case, "action", gaps | {"lid_mm": "inside", "wall_mm": "not_judged"}, by=armand)
    read(case, "string_set", {"tension_n:g": "outside"}, by=armand, subject="mouche")
    read(case, "string_set", {"tension_n:c": "inside"}, by=armand, subject="trompette")

    assert evidence_of(case) == {
        "action.rest_gap_mm": "above",
        "action.lid_mm": "not_judged",
        "string_set.tension_n": "above",
    }


def test_the_choices_of_a_card_are_read_and_strings_that_differ_leave_the_side_open(case, armand):
    light = read(case, "voicing_card", {}, by=armand, subject="mouche", card={"paper": "passes"})
    first = diagnose(case, ["weak", "scratch_choke"])[0].key
    read(case, "dog_card", {}, by=armand, card={"foot_full": False, "onset": "late"})

    alone = evidence_of(case)
    read(case, "voicing_card", {}, by=armand, subject="trompette", card={"paper": "grabbed"})

    assert light.subject == "mouche" and first == "pressure_low"
    assert alone == {
        "voicing_card.paper": "below", "dog_card.foot_full": "outside", "dog_card.onset": "above",
    }  # fmt: skip
    assert evidence_of(case)["voicing_card.paper"] == "outside"
    assert diagnose(case, ["dog_late"])[0].key == "dog_gap"


def test_both_sides_at_once_leave_the_side_open(case, armand):
    row = read(case, "action", {"rest_gap_mm:1": "outside"}, by=armand)
    Verdict.objects.create(
        result=row.results.get(),
        figure="rest_gap_mm:2",
        value=0.1,
        lower=0.5,
        upper=1.0,
        word="outside",
    )

    assert evidence_of(case) == {"action.rest_gap_mm": "outside"}


def test_findings_of_the_case_count_until_they_are_withdrawn(case, armand):
    row = factories.finding(case, by=armand, part="rim_band", term="open_joint")
    first = diagnose(case, ["tick_once"])[0].key
    share = diagnose(case, ["tick_once"])[0].share
    counted = terms_of(case)
    finding_actions.set_withdrawn(row, True, by=armand, at=timezone.now())

    assert counted == {"open_joint": 1, "open_joint@rim_band": 1}
    assert first == "rim_joint_lip"
    assert terms_of(case) == {}
    assert diagnose(case, ["tick_once"])[0].share < share


@pytest.mark.parametrize("language", ["en", "fr"])
def test_the_page_ranks_says_what_decides_and_links_to_it(client, case, armand, language):
    armand.language = language
    armand.save()
    client.force_login(armand)

    page = client.get(reverse("readings:diagnosis", args=[case.number]), {"symptom": "swells_once"})
    said = page.content.decode()

    assert page.status_code == 200
    assert page.context["causes"][0].key == "wheel_eccentric"
    assert reverse("readings:take", args=[case.number, "wheel"]) in said
    likely = [cause for cause in page.context["causes"] if cause.share_pct]
    assert said.count("<progress") == len(likely) < len(page.context["causes"])
    assert 'value="swells_once"' in said and said.count(" checked") == 1


def test_the_page_without_anything_invites_to_tick_a_symptom(client, case, tom):
    client.force_login(tom)

    page = client.get(reverse("readings:diagnosis", args=[case.number]))

    assert page.status_code == 200
    assert list(page.context["causes"]) == []
    assert "<progress" not in page.content.decode()
