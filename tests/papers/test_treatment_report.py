"""The treatment report: every point of the code has its place, and the work is told."""

from __future__ import annotations

import io

import pypdf
import pytest

from repairs.press.render import render
from repairs.storage.fixtures import read_fixture
from repairs.treatment.models import WorkSpell
from repairs.treatment.parts import take_back_material
from tests.papers import working
from tests.papers.conftest import printed, sheet
from tests.papers.working import rows_of

KIND = "treatment_report"


@pytest.mark.parametrize("language", ["en", "fr"])
def test_every_point_of_the_code_has_its_place(case, work, helene, language):
    """Points: ECCO Code 2003 art. 8-10, EN 16853:2017, CIMCIM 1993, as the fixture digests them."""
    points = read_fixture("vocabulary/treatment_points.json")

    made = sheet(KIND, case, helene, language)
    text = " ".join(printed(KIND, case, helene, language).casefold().split())

    assert set(rows_of(made.body)) == {point["key"] for point in points}
    assert all(row.value for row in rows_of(made.body).values())
    assert [p["key"] for p in points if p["label"][language].casefold() not in text] == []


def test_every_point_names_its_source():
    for point in read_fixture("vocabulary/treatment_points.json"):
        assert point["source"].startswith(("ECCO Code 2003", "EN 16853", "CIMCIM", "trade notes"))
        assert all(point["label"][language] for language in ("en", "fr"))


@pytest.mark.real_press
def test_the_first_page_answers_in_ten_lines(case, work, helene):
    made = sheet(KIND, case, helene)
    first = pypdf.PdfReader(io.BytesIO(render(made)[0])).pages[0].extract_text()

    words = " ".join(first.split())
    assert len(made.body.answer) == 10
    for said in (
        "Étienne Roussillat",
        "Garance Ollivant",
        "It growls once a turn.",
        "consent of the owner, Garance Ollivant, 21 November 2026 (2026-001/1)",
        "re-gluing of a loose bar (soundboard)",
        "1 × kept here with the record",
        "24 November 2026, by Armand Sautarel",
    ):
        assert said in words


def test_the_work_is_told_from_finding_to_sign_off(case, work, helene):
    block = sheet(KIND, case, helene).body.works[0]

    assert [one.number for one in block.findings] == [1]
    assert block.parts == ("soundboard",)
    assert (block.people[0].person, block.people[0].minutes) == ("Armand Sautarel", 95)
    assert block.people[0].typed == 95
    assert (block.materials[0].lot, block.materials[0].glue) == ("Maison Roy, lot 12", "58\u00a0°C")
    assert (block.new_parts[0].material, block.new_parts[0].marking) == (
        "spruce",
        "dated in pencil",
    )
    assert block.removed == ("2026-001/1: old cleat of pine",)
    assert block.climate == "18.5\u00a0°C, 48 % RH"
    assert {step.state for step in block.steps} == {"done"}
    assert block.signed == "24 November 2026, by Armand Sautarel"
    assert block.signed_words == "It holds."


def test_a_reason_stated_at_the_sign_off_stands_beside_what_it_excuses(case, work, helene):
    proof = {line.label: line for line in sheet(KIND, case, helene).body.works[0].proof}

    assert proof["Photo, after work"].reason == "not needed"
    assert "not needed" in printed(KIND, case, helene)


def test_the_proof_is_said_in_the_language_of_the_reader(case, work, helene):
    """It was written down in the language of who signed."""
    english = sheet(KIND, case, helene).body.works[0].proof
    french = sheet(KIND, case, helene, "fr").body.works[0].proof

    assert [one.reason for one in english] == [one.reason for one in french]
    assert english[0].label == "Photo, before work"
    assert french[0].label.endswith("avant travaux")


def test_minutes_of_a_clock_are_not_marked_as_typed(case, work, lise, helene):
    WorkSpell.objects.create(
        intervention=work,
        person=lise,
        started_at=working.BEGUN,
        ended_at=working.AFTER,
        minutes=20,
    )

    people = {one.person: one for one in sheet(KIND, case, helene).body.works[0].people}

    assert (people["Lise Sautarel"].minutes, people["Lise Sautarel"].typed) == (20, 0)


def test_a_material_taken_back_is_not_told(house, case, finding, photo, armand, helene):
    work = working.begin(working.agree(case, "loose_bar", finding, by=armand), by=armand)
    take_back_material(working.use(work, by=armand, name="epoxy"), by=armand, at=working.BEGUN)
    working.tick(work, by=armand)
    working.sign(work, by=armand)
    case.refresh_from_db()

    assert sheet(KIND, case, helene).body.works[0].materials == ()
