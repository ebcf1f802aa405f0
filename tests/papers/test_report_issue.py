"""The condition report from preview to issue: its versions, its job, and who may make it."""

from __future__ import annotations

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.jobs.models import Job
from repairs.jobs.worker import Worker
from repairs.papers import actions
from repairs.press.actions import pdf_bytes
from repairs.press.models import Paper, PaperDraft
from repairs.press.refusals import PreviewOutdatedError
from tests import factories
from tests.papers.conftest import text_of


def issued(case, by, language="en") -> Paper:
    draft = actions.draft_of(case, "condition_report", language, by=by, at=timezone.now())
    actions.make_preview(draft)
    return actions.issue_paper(draft, by=by, at=timezone.now())


def test_the_whole_way_from_preview_to_issue_on_the_screens(client, full_case, helene):
    client.force_login(helene)

    asked = client.post(
        reverse("papers:make_preview", args=[full_case.number, "condition_report"]),
        {"language": "fr"},
    )
    under_way = client.get(asked["Location"]).content.decode()
    Worker().run_all()
    ready = client.get(asked["Location"]).content.decode()
    draft = PaperDraft.objects.get()
    preview = client.get(reverse("papers:preview_file", args=[full_case.number, draft.uuid]))
    sent = client.post(
        reverse("papers:make_issue", args=[full_case.number, "condition_report"]),
        {"draft": draft.uuid},
    )
    Worker().run_all()
    done = client.get(sent["Location"])

    assert "The pages are being made" in under_way
    assert "Issue exactly this" in ready
    assert preview["Content-Type"] == "application/pdf"
    assert b"".join(preview.streaming_content).startswith(b"%PDF")
    paper = Paper.objects.get(kind="condition_report")
    assert done["Location"] == reverse("papers:detail", args=[paper.uuid])
    assert (paper.version, paper.language, paper.issued_by) == (1, "fr", helene)
    assert LogEntry.objects.filter(verb="paper.issued").count() == 1


def test_a_change_afterwards_makes_version_2_that_names_the_first(full_case, helene, armand):
    first = issued(full_case, helene)
    factories.finding(full_case, by=armand, part="back", term="worm")

    second = issued(full_case, helene)

    assert (second.version, second.replaces) == (2, first)
    assert first.code in text_of(pdf_bytes(second))
    assert pdf_bytes(first) != pdf_bytes(second)
    assert not Paper.objects.get(pk=first.pk).is_current


def test_a_preview_that_the_case_has_outgrown_is_not_issued(full_case, helene, armand):
    draft = actions.draft_of(full_case, "condition_report", "en", by=helene, at=timezone.now())
    actions.make_preview(draft)
    factories.finding(full_case, by=armand, part="back", term="worm")

    with pytest.raises(PreviewOutdatedError, match="Nothing was issued"):
        actions.ask_for_issue(draft, by=helene, at=timezone.now())

    assert not Paper.objects.filter(kind="condition_report").exists()


def test_issuing_the_same_preview_twice_gives_one_paper(full_case, helene):
    draft = actions.draft_of(full_case, "condition_report", "en", by=helene, at=timezone.now())
    actions.make_preview(draft)

    first = actions.issue_paper(draft, by=helene, at=timezone.now())
    again = actions.issue_paper(PaperDraft.objects.get(pk=draft.pk), by=helene, at=timezone.now())

    assert again == first
    assert Paper.objects.filter(kind="condition_report").count() == 1


def test_a_crash_while_printing_leaves_no_paper_and_the_job_is_tried_again(
    full_case, helene, monkeypatch
):
    draft = actions.draft_of(full_case, "condition_report", "en", by=helene, at=timezone.now())
    actions.make_preview(draft)
    job = actions.ask_for_issue(draft, by=helene, at=timezone.now())

    def crash(*_args, **_kwargs):
        raise RuntimeError("the lamp went out")

    with monkeypatch.context() as patched:
        patched.setattr("repairs.press.actions.record", crash)
        Worker().run_one()
    job.refresh_from_db()
    papers_after_crash = Paper.objects.filter(kind="condition_report").count()
    Job.objects.update(not_before=timezone.now())
    Worker().run_one()

    assert papers_after_crash == 0
    assert job.state == Job.State.WAITING
    assert Paper.objects.filter(kind="condition_report").count() == 1


def test_a_survey_ends_in_its_report(house, vielle, armand, helene, photo):
    case = factories.case(vielle, by=armand, reason="survey")
    factories.photo(case, by=armand, data=factories.jpeg(seed=7))
    factories.finding(case, by=armand)
    factories.examination(case, by=armand)
    case.step = "looked_over"
    case.save()

    issued(case, helene)

    case.refresh_from_db()
    assert case.step == "reported"


def test_the_refusal_is_shown_and_nothing_is_queued(client, house, case, helene):
    client.force_login(helene)

    page = client.post(
        reverse("papers:make_preview", args=[case.number, "condition_report"]), {"language": "en"}
    )

    assert page.status_code == 409
    assert "No part of the instrument" in page.content.decode()
    assert not Job.objects.filter(name="papers.preview").exists()


@pytest.mark.parametrize(("role", "offered"), [("apprentice", True), ("reader", False)])
def test_only_who_may_make_a_preview_is_offered_one(client, full_case, role, offered):
    client.force_login(factories.person("someone", role))
    address = [full_case.number, "condition_report"]

    page = client.get(reverse("papers:make", args=address)).text

    assert (reverse("papers:make_preview", args=address) in page) is offered


def test_papers_are_served_whole_and_listed(client, full_case, helene, odile):
    paper = issued(full_case, helene)
    client.force_login(odile)

    file = client.get(reverse("papers:file", args=[paper.uuid]))
    listed = client.get(reverse("papers:list")).content.decode()
    data = client.get(reverse("papers:data", args=[paper.uuid])).json()

    assert b"".join(file) == pdf_bytes(paper)
    assert paper.title in listed
    assert data == paper.data


@pytest.mark.parametrize("words", ["draft=junk", "job=junk", "draft=&job=", "draft=²"])
def test_an_address_with_nonsense_shows_the_page_without_it(client, case, helene, words):
    client.force_login(helene)

    page = client.get(reverse("papers:make", args=[case.number, "condition_report"]) + "?" + words)

    assert page.status_code == 200


@pytest.mark.parametrize("draft", ["", "junk", "00000000-0000-0000-0000-000000000000"])
def test_a_draft_that_is_not_there_is_not_issued(client, case, helene, draft):
    client.force_login(helene)

    page = client.post(
        reverse("papers:make_issue", args=[case.number, "condition_report"]), {"draft": draft}
    )

    assert page.status_code == 404
