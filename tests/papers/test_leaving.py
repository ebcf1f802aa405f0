"""The receipt that ends the stay of an instrument, both or neither."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.actions import move
from repairs.cases.custody_models import Custody
from repairs.cases.hand_back_models import HandBack
from repairs.cases.refusals import HandBackError
from repairs.jobs.models import Job
from repairs.jobs.worker import Worker
from repairs.papers import actions
from repairs.press.models import Paper, PaperDraft
from repairs.treatment.held import held_at_sign_off
from repairs.treatment.models import WorkSpell
from tests import factories
from tests.papers.conftest import NOW, going, issued, printed, sheet

KIND = "return_receipt"


@pytest.mark.real_press
@pytest.mark.parametrize("language", ["en", "fr"])
def test_the_receipt_says_how_it_leaves_on_one_page(case, work, armand, helene, language):
    issued("care_sheet", case, helene)
    going(case, armand)

    made = sheet(KIND, case, helene, language)
    text = printed(KIND, case, helene, language)

    assert made.body.state == ("Crack closed.", "Strung to pitch.", "Plays.")
    assert made.body.items == ("Case", "Crank")
    assert made.body.kept_here == ("2026-001/1 old cleat of pine",)
    assert "Care sheet 2026-001" not in made.body.papers[0]
    assert made.body.papers[0].endswith(Paper.objects.get(kind="care_sheet").code)
    assert made.body.is_owner
    assert "1 / 1" in text
    for words in ("Garance Ollivant", "Crack closed.", "Twelve months.", "I-0001"):
        assert words in text


def test_work_that_was_signed_off_with_a_reservation_says_it(case, work, armand, helene):
    """The crack was glued without photos of it during and after the work."""
    going(case, armand)

    (line,) = sheet(KIND, case, helene).body.works

    weak = [one for one in held_at_sign_off(work) if one.is_weak]
    assert "Photo, after work" in [one.label for one in weak]
    assert line.startswith(f"1 · {work.agreed}, with reservations: missing (Photo, ")
    assert all(one.label in line for one in weak)
    assert "with reservations" in printed(KIND, case, helene)


def test_before_it_is_issued_the_screen_says_which_papers_were_never_made(
    client, case, work, armand, helene
):
    issued("care_sheet", case, helene)
    going(case, armand)
    client.force_login(helene)

    page = client.get(reverse("papers:make", args=[case.number, KIND])).text

    line = page.split("Never issued: ")[1].split("<")[0]
    assert "treatment report" in line
    assert "list of removed parts" in line
    assert "care sheet" not in line
    assert "material statement" not in line  # it has no protected part


def test_issuing_it_ends_the_stay_and_passes_custody(case, work, armand, helene):
    going(case, armand)

    paper = issued(KIND, case, helene)

    case.refresh_from_db()
    held = case.custody.get(until=None)
    assert (case.step, case.ended_at is not None) == ("handed_back", True)
    assert (held.holder, held.holder_name) == ("owner", "Garance Ollivant")
    assert HandBack.objects.get().done_at == paper.issued_at
    assert LogEntry.objects.filter(verb="case.handed_back", subject=case.log_key).count() == 1


def test_someone_else_may_receive_it(case, work, armand, helene):
    going(case, armand, received_name="Marin the carrier")

    issued(KIND, case, helene)

    assert case.custody.get(until=None).holder == Custody.Holder.OTHER


def test_an_unworked_stay_ends_from_where_it_is(house, case, armand, helene):
    going(case, armand, why_unworked="The owner sells it as it is.")

    text = printed(KIND, case, helene)
    issued(KIND, case, helene)

    case.refresh_from_db()
    assert "Returned unworked because" in text
    assert "The owner sells it as it is." in text
    assert case.step == "handed_back"
    assert case.moves.last().because == "The owner sells it as it is."


def test_an_instrument_of_the_house_goes_to_stock_and_stays_in_custody(
    house, vielle, armand, helene
):
    case = factories.case(vielle, by=armand, reason="house")
    for step in ("looked_over", "agreed", "on_bench", "proved"):
        move(case, step, because="", by=armand, at=NOW)
    going(case, armand, ending="to_stock", received_name="the workshop")

    text = printed(KIND, case, helene)
    issued(KIND, case, helene)

    case.refresh_from_db()
    assert "stays with the workshop" in text
    assert "Put into the stock of the house on 24 November 2026" in text
    assert "Handed over" not in text
    assert "Received by" not in text
    assert case.step == "to_stock"
    assert case.custody.get(until=None).holder == Custody.Holder.WORKSHOP


def test_a_crash_at_the_last_moment_leaves_nothing_half_written(
    case, work, armand, helene, monkeypatch
):
    going(case, armand)
    draft = actions.draft_of(case, KIND, "en", by=helene, at=timezone.now())
    actions.make_preview(draft)

    def crash(*_args, **_kwargs):
        raise RuntimeError("the lamp went out")

    monkeypatch.setattr("repairs.press.actions.record", crash)
    with pytest.raises(RuntimeError):
        actions.issue_paper(draft, by=helene, at=timezone.now())

    case.refresh_from_db()
    draft = PaperDraft.objects.get(pk=draft.pk)
    assert (case.step, case.ended_at) == ("proved", None)
    assert case.custody.get(until=None).holder == Custody.Holder.WORKSHOP
    assert HandBack.objects.get().done_at is None
    assert draft.paper is None
    assert not Paper.objects.filter(kind=KIND).exists()
    assert not LogEntry.objects.filter(verb="case.handed_back").exists()


def test_what_began_after_the_preview_stops_the_issue_and_writes_nothing(
    case, work, armand, lise, helene
):
    going(case, armand)
    draft = actions.draft_of(case, KIND, "en", by=helene, at=timezone.now())
    actions.make_preview(draft)
    WorkSpell.objects.create(intervention=work, person=lise, started_at=NOW)

    with pytest.raises(HandBackError, match="still runs on work 1"):
        actions.issue_paper(draft, by=helene, at=timezone.now())

    assert not Paper.objects.filter(kind=KIND).exists()


def test_a_return_without_a_reason_is_not_issued_before_any_work(house, case, armand, helene):
    going(case, armand)

    with pytest.raises(HandBackError, match="nobody has written down why"):
        issued(KIND, case, helene)

    case.refresh_from_db()
    assert case.step == "taken_in"
    assert HandBack.objects.get().done_at is None


def test_a_reason_from_before_the_work_does_not_end_a_case_that_was_worked(
    case, work, armand, helene
):
    going(case, armand, why_unworked="No time.")

    with pytest.raises(HandBackError, match="Write it down anew"):
        issued(KIND, case, helene)


def test_the_refusal_of_the_job_is_shown_to_who_asked(client, case, work, armand, lise):
    going(case, armand)
    draft = actions.draft_of(case, KIND, "en", by=armand, at=timezone.now())
    actions.make_preview(draft)
    client.force_login(armand)
    address = reverse("papers:make_issue", args=[case.number, KIND])

    sent = client.post(address, {"draft": draft.uuid})
    WorkSpell.objects.create(intervention=work, person=lise, started_at=NOW)
    Worker().run_all()
    page = client.get(sent["Location"]).text

    assert Job.objects.get(name="papers.issue").state == Job.State.FAILED
    assert "A clock of Lise Sautarel still runs on work 1." in page


def test_the_receipt_may_be_issued_anew_without_ending_anything_twice(case, work, armand, helene):
    going(case, armand)
    first = issued(KIND, case, helene)
    case.refresh_from_db()

    second = issued(KIND, case, helene, "fr")

    case.refresh_from_db()
    assert (second.version, second.replaces, second.language) == (2, first, "fr")
    assert case.moves.filter(step="handed_back").count() == 1
    assert LogEntry.objects.filter(verb="case.handed_back").count() == 1


def test_a_stay_that_is_taken_up_again_ends_with_a_return_of_its_own(case, work, armand, helene):
    going(case, armand)
    issued(KIND, case, helene)
    case.refresh_from_db()
    move(case, "proved", because="a peg slips", by=armand, at=timezone.now())
    case.custody.filter(until=None).update(until=timezone.now())
    case.custody.create(holder="workshop", place="Shelf 2", since=timezone.now(), noted_by=armand)

    going(case, armand, returned_at=timezone.now() + dt.timedelta(0))
    issued(KIND, case, helene)

    case.refresh_from_db()
    assert case.step == "handed_back"
    assert HandBack.objects.exclude(done_at=None).count() == 2
