"""The treatment report of a whole case: its cover, what was not done, what it rests on."""

from __future__ import annotations

import datetime as dt
from types import SimpleNamespace
from typing import Any

import pytest
from django.utils import timezone

from repairs.papers.treatment import before, removed_parts, report
from repairs.papers.treatment.weighed import weighed
from repairs.treatment.agree import drop_work
from tests import factories
from tests.papers import working
from tests.papers.conftest import going, issued
from tests.papers.working import rows_of


@pytest.fixture
def plain(case, finding, armand) -> Any:
    """Work signed off on a case of which there is no photo, no look and no paper."""
    return working.worked(case, finding, by=armand)


def said(case) -> dict[str, Any]:
    return {key: row.value for key, row in rows_of(report.body(case)).items()}


# Photos --------------------------------------------------------------------------------------


def test_without_a_photo_after_the_work_there_is_no_cover(case, work):
    body = report.body(case)

    assert (body.cover, body.during) == (None, ())


@pytest.mark.parametrize(
    ("views", "cover"),
    [(("side", "front"), 2), (("side", "damage"), 1), (("damage",), 1)],
    ids=["the front", "else the first", "the only one"],
)
def test_the_cover_is_the_front_after_the_work_or_what_there_is(case, plain, armand, views, cover):
    for seed, view in enumerate(views):
        phase = "after" if seed == 0 else "return"
        data = factories.jpeg(seed=seed + 1)
        factories.photo(case, by=armand, data=data, phase=phase, view=view)

    body = report.body(case)

    assert body.cover is not None
    assert body.cover.number == cover


def test_photos_during_the_work_are_shown_and_no_others(case, plain, armand):
    for seed, phase in enumerate(("before", "during", "after"), 1):
        factories.photo(case, by=armand, data=factories.jpeg(seed=seed), phase=phase)

    assert [photo.number for photo in report.body(case).during] == [2]


# What was done and what was not --------------------------------------------------------------


def test_what_was_not_done_is_told_each_with_its_why(case, plain, finding, armand):
    gone = working.agree(case, "open_seam", by=armand)
    drop_work(gone, because="the owner sells it", by=armand, at=timezone.now())
    working.agree(case, "free", by=armand)
    started = working.begin(working.agree(case, "string_set", by=armand), by=armand)

    told = report.body(case).not_done

    assert [line.split(":")[0] for line in told] == [
        "given up",
        "agreed, not begun",
        "begun, not signed off",
    ]
    assert told[0].endswith(": the owner sells it")
    assert str(started.agreed) in told[2]


def test_steps_left_out_are_told_with_their_reason(case, finding, armand):
    work = working.begin(working.agree(case, "free", finding, by=armand), by=armand)
    (step,) = work.version.procedure.steps
    working.tick(work, by=armand, **{step.key: "it was dry"})
    working.sign(work, by=armand)

    (line,) = report.body(case).not_done

    assert line.startswith("work 1, step left out: ")
    assert line.endswith(": it was dry")


def test_a_finding_is_left_only_when_no_signed_work_answers_it(case, plain, finding, armand):
    other = factories.finding(case, by=armand, part="back")
    body = report.body(case)

    assert [block.number for block in body.not_treated] == [other.number]
    assert "1 of 2 findings was treated" in said(case)["minimum"]
    assert body.signers == ("Armand Sautarel",)


def test_the_report_tells_what_it_has_and_what_it_has_not(case, plain):
    body = report.body(case)

    assert report.contents(body) == [
        "1 piece of work, signed off",
        "0 pairs of photos before and after",
        "1 removed part",
        "0 findings left as they are",
    ]
    assert report.gaps(body) == [
        "No photo shows the same thing before and after.",
        "No reading belongs to the work.",
    ]


def test_a_report_with_pairs_and_readings_lacks_neither():
    row: Any = SimpleNamespace(
        not_done=("given up: the seam",),
        pairs=("a pair",),
        works=[SimpleNamespace(readings=()), SimpleNamespace(readings=("one",))],
    )

    assert report.gaps(row) == ["Given up: the seam"]


# What it rests on ----------------------------------------------------------------------------


def test_before_anything_was_looked_at_the_report_says_so(case, plain):
    told = said(case)

    assert told["condition_before"] == "no condition report was issued"
    assert told["significance"].split("; ")[2] == "originality of its parts not recorded"
    assert told["exit_state"] == told["exit_day"] == "not returned yet"
    assert told["next_check"] == "none agreed"


def test_what_is_known_before_the_work_is_told(case, work, helene, armand):
    case.instrument.parts.filter(key__in=("back", "soundboard")).update(originality="original")
    paper = issued("condition_report", case, helene)

    told = said(case)

    assert "2 parts are original" in told["significance"]
    first, second = told["condition_before"].splitlines()
    assert first.endswith("Sound but cracked.")
    assert paper.code in second
    assert told["goals"].splitlines()[0] == "Glue."
    assert told["options"] == "Leave it open."
    assert told["risk"] == "It may open again."


def test_one_original_part_is_told_as_one(case, plain):
    case.instrument.parts.filter(key="back").update(originality="original")

    assert "1 part is original" in said(case)["significance"]


def test_how_it_left_is_told_once_it_left(case, work, armand):
    going(case, armand)

    told = said(case)

    assert told["exit_state"] == "Crack closed.; Strung to pitch.; Plays."
    assert "2027" in told["next_check"]
    assert told["exit_day"] != "not returned yet"


def test_the_next_check_named_when_it_left_counts_before_that_of_the_examination(
    case, work, armand
):
    case.examination.next_check_on = dt.date(2031, 3, 1)
    case.examination.save()
    assert "2031" in said(case)["next_check"]

    going(case, armand)

    assert "2027" in said(case)["next_check"]


@pytest.mark.parametrize("looked", [True, False])
def test_ways_and_risks_without_an_estimate_are_those_of_the_examination(case, looked):
    look: Any = SimpleNamespace(alternatives="Leave it.", risk="It opens.") if looked else None

    told = weighed(case, look)

    assert (told.options, told.risk) == (("Leave it.", "It opens.") if looked else ("", ""))


def test_the_goals_are_what_was_proposed_and_each_purpose_once():
    blocks = [SimpleNamespace(purpose=words) for words in ("To close it.", "", "To close it.")]
    row: Any = SimpleNamespace(examination=None, blocks=blocks)

    assert before._goals(row) == "To close it."


@pytest.mark.parametrize("name", ["La Bourrée", ""])
def test_the_object_is_told_by_its_own_name_or_by_what_it_is(case, plain, name):
    case.instrument.name = name

    assert said(case)["object"].startswith(f"{name or case.instrument.kind_label}, ")


# The list of removed parts -------------------------------------------------------------------


def test_bags_without_a_place_are_named_as_a_gap_and_strings_are_not(case, plain, armand):
    work = factories.begun_work(
        factories.agreed_work(case, "free", by=armand), by=armand, at=working.BEGUN
    )
    working.take_off(work, by=armand, position="")
    working.take_off(work, by=armand, position="", is_consumable=True)

    body = removed_parts.body(case)

    assert [line.bag for line in body.bags] == ["2026-001/1", "2026-001/2"]
    assert [line.bag for line in body.consumables] == ["2026-001/3"]
    assert removed_parts.gaps(body) == ["Where it sat is not noted: 2026-001/2."]
    assert removed_parts.contents(body) == ["3 removed parts: 3 × kept here with the record"]


def test_a_list_of_bags_with_their_places_has_no_gap(case, plain):
    assert removed_parts.gaps(removed_parts.body(case)) == []
