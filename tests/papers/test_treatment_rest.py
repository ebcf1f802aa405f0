"""The treatment report: what was left or left out, pairs of photos, bags, versions."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.papers import actions
from repairs.papers.kinds import compile_paper
from repairs.papers.needs.refusals import PaperEmptyError
from repairs.press.refusals import PreviewOutdatedError
from repairs.treatment.part_models import MaterialUse
from repairs.treatment.parts import set_fate
from repairs.treatment.signing import sign_off
from tests import factories
from tests.papers import working
from tests.papers.conftest import NOW, issued, printed, sheet
from tests.papers.working import finish, rows_of
from tests.readings import samples

KIND = "treatment_report"


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
    assert "Arrival · Photo 4 · damage" in text
    assert "Return · Photo 5 · damage" in text


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
