"""The treatment report: readings before and after, what was promised and what came."""

from __future__ import annotations

import pytest

from repairs.readings.models import Prescription
from repairs.treatment.agree import drop_work
from repairs.treatment.outcome_models import MoveDone
from repairs.treatment.parts import follow
from repairs.treatment.proof import proof_of
from repairs.treatment.signing import sign_off
from tests import factories
from tests.papers import working
from tests.papers.conftest import printed, sheet
from tests.papers.working import finish, rows_of
from tests.readings import samples

KIND = "treatment_report"


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


def dog_read(case, by, phase, at, said):
    words = samples.card("dog_card", **said)
    samples.reading(case, by=by, gauge="dog_card", words=words, phase=phase, taken_at=at)


@pytest.mark.parametrize(
    ("now", "line"),
    [("yes", ("yes", "inside", "as promised")), ("no", ("no", "outside", "not yet"))],
)
def test_the_foot_of_a_dog_that_was_to_be_scraped_is_on_paper_too(
    case, work, armand, helene, now, line
):
    finding = factories.finding(case, by=armand, part="dog", term="worn", severity=2)
    case.instrument.parts.filter(key__startswith="dog").update(originality="later_replacement")
    said = {"onset": "late", "foot_full": "no", "foot_print": "toe"}
    dog_read(case, armand, "before", working.BEFORE, said)
    dog = working.begin(working.agree(case, "dog_plate", finding, by=armand), "dog", by=armand)
    working.tick(dog, by=armand)
    dog_read(case, armand, "after", working.AFTER, {"onset": "crisp", "foot_full": now})
    reasons = dict.fromkeys((one.key for one in proof_of(dog) if one.asks), "good enough for now")
    sign_off(dog, reasons=reasons, words="", by=armand, at=working.SIGNED)

    (foot,) = (
        one
        for block in sheet(KIND, case, helene).body.works
        for one in block.promises
        if one.label == "its foot stands full on the plate"
    )

    assert foot.prescription.startswith("Try: scrape the toe of the foot")
    assert (foot.expected, (foot.got, foot.word, foot.word_label)) == ("yes", line)
    text = printed(KIND, case, helene)
    assert text.index("Try: scrape the toe") < text.index("Its foot stands full on the plate")
