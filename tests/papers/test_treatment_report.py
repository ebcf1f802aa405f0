"""The treatment report: every point of the code, before and after, promised and achieved."""

from __future__ import annotations

import io
from dataclasses import fields
from decimal import Decimal

import pypdf
import pytest
from django.utils import timezone

from repairs.papers import actions
from repairs.papers.blocks.document import Row
from repairs.papers.blocks.treatment_document import TreatmentReport
from repairs.papers.kinds import compile_paper
from repairs.papers.needs.refusals import PaperEmptyError
from repairs.press.refusals import PreviewOutdatedError
from repairs.press.render import render
from repairs.readings.models import Prescription
from repairs.storage.fixtures import read_fixture
from repairs.treatment.agree import drop_work
from repairs.treatment.models import WorkSpell
from repairs.treatment.outcome_models import MoveDone
from repairs.treatment.part_models import MaterialUse
from repairs.treatment.parts import follow, set_fate, take_back_material
from repairs.treatment.signing import sign_off
from tests import factories
from tests.papers import working
from tests.papers.conftest import NOW, issued, printed, sheet
from tests.readings import samples

KIND = "treatment_report"


def rows_of(body: TreatmentReport) -> dict[str, Row]:
    """Every point of the report, wherever it stands."""
    found: dict[str, Row] = {}
    for field in fields(body):
        value = getattr(body, field.name)
        if isinstance(value, tuple):
            found |= {row.key: row for row in value if isinstance(row, Row)}
    return found


@pytest.fixture
def tuned(case, armand, work):
    """A second piece of work: tangents moved, measured before and after."""
    finding = factories.finding(case, by=armand, part="tangents_1", term="worn", severity=2)
    case.instrument.parts.filter(key__startswith="tangents").update(originality="later_replacement")
    working.keys_reading(case, working.CENTS_BEFORE, phase="before", by=armand)
    samples.reading(case, by=armand, gauge="action", phase="before", taken_at=working.BEFORE)
    agreed = working.agree(case, "tangent_refit", finding, by=armand)
    return working.begin(agreed, "tangents_1", by=armand)


def finish(tuned, armand, **left_out):
    working.tick(tuned, by=armand, **left_out)
    working.keys_reading(tuned.case, working.CENTS_AFTER, phase="after", by=armand)
    samples.reading(tuned.case, by=armand, gauge="action", phase="after", taken_at=working.AFTER)
    reasons = dict.fromkeys(("after.action", "after.correction", "steps"), "good enough for now")
    reasons |= {f"photos.{phase}": "none needed" for phase in ("before", "during", "after")}
    return sign_off(tuned, reasons=reasons, words="", by=armand, at=working.SIGNED)


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


def test_readings_before_and_after_stand_side_by_side(case, tuned, armand, helene):
    finish(tuned, armand)

    block = sheet(KIND, case, helene).body.works[1]

    keys = next(pair for pair in block.readings if pair.gauge == "correction")
    assert keys.before.startswith("reading 1 · before work")
    assert keys.after.startswith("reading 3 · after work")
    fourth = next(row for row in keys.figures if "key 4" in row.label)
    assert (fourth.before, fourth.change, fourth.sure) == (
        "12.5 cents",
        "−11.5",
        "more than its uncertainty",
    )
    assert fourth.after.startswith("1.0 cents ± ")
    assert keys.inside_unsaid == 2


def test_what_was_promised_stands_beside_what_came(case, tuned, armand, helene):
    """Key 4 stood 12.5 cents sharp and 1.0 after: promised −12.5, got −11.5, by hand."""
    told = Prescription.objects.get(target="first, 4")
    assert told.amount is not None
    done = MoveDone(intervention=tuned, prescription=told, amount=told.amount, unit="mm")
    follow(done, by=armand, at=working.AFTER)
    finish(tuned, armand)

    lines = {line.label: line for line in sheet(KIND, case, helene).body.works[1].promises}

    fourth = next(line for label, line in lines.items() if "key 4" in label)
    assert fourth.expected.startswith("−12.5 ± ")
    assert fourth.got.startswith("−11.5 ± ")
    assert fourth.done == f"−{abs(told.amount):.2f}\u00a0mm"
    assert (fourth.word, fourth.word_label) == ("inside", "as foreseen")


def test_a_prescription_of_which_nobody_noted_anything_is_not_said_to_be_followed(
    case, tuned, armand, helene
):
    finish(tuned, armand)

    promises = sheet(KIND, case, helene).body.works[1].promises

    assert {line.done for line in promises} == {""}
    text = printed(KIND, case, helene)
    assert "not noted" in text
    assert "as told" not in text


def test_a_reading_that_was_not_permitted_is_not_counted_as_taken(case, tuned, armand, helene):
    """By hand: keys before and after, action before only; the other after was not permitted."""
    working.tick(tuned, by=armand)
    working.keys_reading(tuned.case, working.CENTS_AFTER, phase="after", by=armand)
    samples.reading(
        tuned.case,
        by=armand,
        gauge="action",
        phase="after",
        taken_at=working.AFTER,
        not_permitted="not to be played",
    )
    reasons = dict.fromkeys(("after.action", "after.correction"), "good enough for now")
    reasons |= {f"photos.{phase}": "none needed" for phase in ("before", "during", "after")}
    sign_off(tuned, reasons=reasons, words="", by=armand, at=working.SIGNED)

    body = sheet(KIND, case, helene).body
    rows = rows_of(body)

    pairs = [pair for block in body.works for pair in block.readings]
    refused = [pair for pair in pairs if pair.is_refused]
    assert [pair.gauge for pair in refused] == ["action"]
    assert rows["measurements"].value == (
        "1 of 2 readings was taken before and after; 1 reading not made because not permitted"
    )
    assert "1 reading not made because not permitted" in rows["proof"].value


def test_a_reading_not_permitted_before_the_work_makes_no_pair(case, tuned, armand, helene):
    first = case.readings.get(gauge="action")
    type(first).objects.filter(pk=first.pk).update(not_permitted="not to be played")
    finish(tuned, armand)

    body = sheet(KIND, case, helene).body

    assert rows_of(body)["measurements"].value.startswith("1 of 2 readings was taken")
    assert "Not done: not permitted. Not to be played" in printed(KIND, case, helene)


def test_without_words_at_the_sign_off_the_judgement_says_the_counts(case, tuned, armand, helene):
    """The first work was signed off with words and without a reading, the second the other way."""
    finish(tuned, armand)

    rows = rows_of(sheet(KIND, case, helene).body)

    counts = rows["proof"].value.splitlines()[0]
    assert "2 outside" in counts
    assert rows["evaluation"].value.splitlines() == ["1 · It holds.", f"2 · {counts}"]


@pytest.mark.parametrize("language", ["en", "fr"])
def test_promises_are_labelled_in_the_language_of_the_reader(case, tuned, armand, helene, language):
    finish(tuned, armand)

    labels = [one.label for one in sheet(KIND, case, helene, language).body.works[1].promises]

    word = {"en": "key", "fr": "touche"}[language]
    assert labels
    assert all(word in label for label in labels)


def test_what_lies_outside_after_the_work_is_named_on_the_first_page(case, tuned, armand, helene):
    finish(tuned, armand)

    proof = rows_of(sheet(KIND, case, helene).body)["proof"].value

    assert "2 outside" in proof
    assert "Finishing check of the keybox: gap at rest, worst at key 3" in proof


def test_a_step_left_out_and_work_not_begun_are_said_with_their_reason(case, tuned, armand, helene):
    step = tuned.version.procedure.steps[1].key
    finish(tuned, armand, **{step: "the cotton was new"})
    other = working.agree(case, "open_seam", by=armand)
    given_up = working.agree(case, "peg_bushing", by=armand)
    drop_work(given_up, because="the peg holds", by=armand, at=working.AFTER)

    lines = "\n".join(sheet(KIND, case, helene).body.not_done)

    assert "step left out" in lines
    assert "the cotton was new" in lines
    assert f"agreed, not begun: {other}" in lines
    assert "the peg holds" in lines


def test_what_cannot_be_undone_is_not_said_flatly_where_a_step_was_left_out(
    case, work, finding, armand, helene
):
    agreed = working.agree(case, "key_easing", finding, by=armand, irreversible_agreed=True)
    begun = working.begin(agreed, "keys_lower", by=armand)
    working.tick(begun, by=armand, ease="graphite was enough")
    for phase, at in (("before", working.BEFORE), ("after", working.AFTER)):
        samples.reading(case, by=armand, gauge="action", phase=phase, taken_at=at)
    reasons = dict.fromkeys(("after.action", "photos.before", "steps"), "good enough for now")
    sign_off(begun, reasons=reasons, words="", by=armand, at=working.SIGNED)

    body = sheet(KIND, case, helene).body
    block = body.works[-1]

    assert block.undoing.startswith("Irreversible where the shank is scraped")
    assert f"Work {block.number}, step left out: " in block.undoing
    assert f"{block.number} · cannot be undone" not in rows_of(body)["reversibility"].value


def test_work_done_whole_says_its_grade_first(case, work, armand, helene):
    block = sheet(KIND, case, helene).body.works[0]

    assert block.undoing.startswith(block.grade[:1].upper() + block.grade[1:] + ". ")


def test_a_finding_that_no_work_answers_is_listed_as_left(case, work, armand, helene):
    factories.finding(case, by=armand, part="back", term="worm", severity=2)

    body = sheet(KIND, case, helene).body

    assert [one.number for one in body.not_treated] == [2]
    assert "1 of 2 findings was treated" in rows_of(body)["minimum"].value


def test_photos_of_the_same_finding_and_the_same_view_make_pairs(
    case, work, finding, armand, helene
):
    working.pictured(case, finding, by=armand)

    pairs = sheet(KIND, case, helene).body.pairs

    assert [(pair.of, pair.before.number, pair.after.number) for pair in pairs] == [
        ("1 · crack, soundboard", 4, 5),
        ("Front", 2, 3),
    ]
    assert [mark.number for mark in pairs[0].before.marks] == [1]
    text = printed(KIND, case, helene)
    assert "Photo 4 · arrival" in text
    assert "Photo 5 · return" in text


def test_two_photos_are_one_pair_even_when_they_show_two_things(
    case, work, finding, armand, helene
):
    other = factories.finding(case, by=armand, part="back", term="worm")
    for number, phase in ((30, "before"), (31, "after")):
        shot = factories.photo(
            case, by=armand, data=factories.jpeg(seed=number), phase=phase, view="back"
        )
        factories.tag(shot, finding, by=armand)
        factories.tag(shot, other, by=armand)

    pairs = sheet(KIND, case, helene).body.pairs

    assert len(pairs) == 1
    assert "1 · crack" in pairs[0].of
    assert "Back" in pairs[0].of or "back" in pairs[0].of


def test_the_register_of_removed_parts_says_what_became_of_each(case, work, armand, helene):
    piece = case.removed_parts.get()
    set_fate(piece, "given_back", "handed to the owner", by=armand, at=working.SIGNED)

    bags = sheet(KIND, case, helene).body.bags

    assert (bags[0].bag, bags[0].fate, bags[0].fate_words) == (
        "2026-001/1",
        "given back to the owner",
        "handed to the owner",
    )


def test_an_open_piece_of_work_is_said_and_not_told_as_done(case, tuned, helene):
    body = sheet(KIND, case, helene).body

    assert len(body.works) == 1
    assert any(line.startswith("begun, not signed off") for line in body.not_done)


def test_without_signed_work_it_is_refused(house, case, photo, finding, armand):
    working.begin(working.agree(case, "loose_bar", finding, by=armand), by=armand)

    with pytest.raises(PaperEmptyError, match="no work on it is signed off"):
        compile_paper(KIND, case, language="en", made_at=NOW)


def test_a_later_piece_of_work_makes_a_new_version(case, work, tuned, armand, helene):
    first = issued(KIND, case, helene)
    finish(tuned, armand)
    case.refresh_from_db()

    second = issued(KIND, case, helene)

    assert (second.version, second.replaces) == (2, first)
    assert len(second.data["content"]["works"]) == 2
    assert len(first.data["content"]["works"]) == 1


def test_a_preview_that_the_work_has_outgrown_is_not_issued(case, tuned, armand, helene):
    draft = actions.draft_of(case, KIND, "en", by=helene, at=timezone.now())
    actions.make_preview(draft)
    finish(tuned, armand)

    with pytest.raises(PreviewOutdatedError):
        actions.issue_paper(draft, by=helene, at=timezone.now())


def test_the_ways_that_were_weighed_come_from_the_examination_and_the_estimate(
    house, case, photo, finding, armand, helene
):
    factories.examination(case, by=armand, alternatives="Leave it open.", risk="It may open again.")
    offered = factories.estimate(case, by=armand)
    offered.options.update(promise="It stays closed.", risk="A line stays seen.")
    factories.consent(offered, by=armand)
    agreed = case.agreed_works.live().get()
    work = working.begin(agreed, "soundboard", by=armand)
    working.tick(work, by=armand)
    for phase in ("before", "after"):
        at = working.BEFORE if phase == "before" else working.AFTER
        for gauge in {one.gauge for one in work.version.procedure.readings}:
            samples.reading(case, by=armand, gauge=gauge, phase=phase, taken_at=at)
    working.sign(work, by=armand, words="Done.")
    case.refresh_from_db()

    rows = rows_of(sheet(KIND, case, helene).body)

    assert "Leave it open." in rows["options"].value
    assert "It stays closed. (agreed)" in rows["options"].value
    assert "A line stays seen." in rows["risk"].value


def test_the_report_asks_the_same_for_many_things_as_for_few(
    case, work, armand, helene, django_assert_max_num_queries
):
    for number in range(8):
        MaterialUse.objects.create(
            intervention=work,
            name=f"glue {number}",
            amount=Decimal(1),
            unit="g",
            at=NOW,
            by=armand,
        )
        finding = factories.finding(case, by=armand, part="back", term="worm")
        shot = factories.photo(case, by=armand, data=factories.jpeg(seed=number + 40))
        factories.tag(shot, finding, by=armand)
    case = type(case).objects.with_names().get(pk=case.pk)

    with django_assert_max_num_queries(35):
        compile_paper(KIND, case, language="en", made_at=NOW)
