"""The condition report: preview, issue, versions, and everything that must stand in it."""

from __future__ import annotations

import datetime as dt
import io
import json

import pypdf
import pytest
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext_lazy as _

from repairs.audit.models import LogEntry
from repairs.findings.look_models import PartLook
from repairs.findings.refusals import NothingExaminedError
from repairs.jobs.models import Job
from repairs.jobs.worker import Worker
from repairs.papers import actions
from repairs.papers.kinds import compile_paper
from repairs.papers.needs.refusals import ReasonForNoPhotoError
from repairs.press.actions import pdf_bytes, propose_seal
from repairs.press.models import Paper, PaperDraft
from repairs.press.refusals import PreviewOutdatedError
from repairs.press.render import render
from repairs.storage.fixtures import read_fixture
from tests import factories
from tests.outside.verapdf import validate

COLUMN_HEADS = (
    _("Term, part, location"),
    _("Extent"),
    _("Severity"),
    _("Stability, age"),
    _("Urgency"),
    _("Probable cause"),
    _("Part present"),
    _("Material"),
    _("Protected species"),
    _("Signature at exit: name, date"),
)
NOW = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


@pytest.fixture
def full_case(house, case, armand, photo, finding):
    """A case with a photo, a bound tag, a note, parts looked at and a judgement."""
    factories.tag(photo, finding, by=armand)
    factories.examination(case, by=armand)
    parts = {part.key: part for part in case.instrument.parts.all()}
    PartLook.objects.create(case=case, part=parts["back"], state="looked")
    PartLook.objects.create(
        case=case, part=parts["axle"], state="not_examined", why="hidden by the wheel"
    )
    return case


def sealed(case, by, language="en"):
    seal = propose_seal("condition_report", case.log_key, by=by, at=NOW)
    return compile_paper("condition_report", case, language=language, made_at=NOW, seal=seal)


def text_of(pdf: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text().split()) for page in pages)


def issued(case, by, language="en") -> Paper:
    draft = actions.draft_of(case, "condition_report", language, by=by, at=timezone.now())
    actions.make_preview(draft)
    return actions.issue_paper(draft, by=by, at=timezone.now())


@pytest.mark.parametrize("language", ["en", "fr"])
def test_every_required_unit_has_its_place_in_the_report(full_case, helene, language):
    """Units: scope of EN 16095:2012, Spectrum and CIMCIM as digested in the checklist fixture."""
    text = text_of(render(sealed(full_case, helene, language))[0]).casefold()
    columns = {
        "part_materials",
        "protected_species",
        "parts_present",
        "finding_term",
        "finding_location",
        "finding_extent",
        "finding_severity",
        "finding_stability",
        "finding_age",
        "finding_cause",
        "exit_signature",
    }

    labels = {
        unit["key"]: " ".join(unit["label"][language].casefold().split())
        for unit in read_fixture("vocabulary/checklist.json")
        if unit["key"] not in columns
    }

    assert {key for key, label in labels.items() if label not in text} == set()
    for words in COLUMN_HEADS:
        with translation.override(language):
            assert " ".join(str(words).casefold().split()) in text


@pytest.mark.real_press
def test_the_first_page_answers(full_case, helene):
    pdf, _pages = render(sealed(full_case, helene))

    first = " ".join(pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())
    for words in (
        "Garance Ollivant",
        "Étienne Roussillat",
        "poor: Sound but cracked.",
        "Keep it slack.",
        "Crack, soundboard",
        "146 mm",
    ):
        assert words in first


def test_photo_and_finding_bear_the_same_number(full_case, helene):
    body = sealed(full_case, helene).body

    assert [mark.number for mark in body.photos[0].marks] == [1]
    assert [one.number for one in body.photos[0].findings] == [1]
    assert body.findings[0].photos == (1,)


def test_what_was_not_examined_is_said_with_its_reason(full_case, helene):
    text = text_of(render(sealed(full_case, helene))[0])

    assert "hidden by the wheel" in text


@pytest.mark.real_press
def test_the_report_is_archival_and_accessible(full_case, helene, tmp_path):
    path = tmp_path / "report.pdf"
    path.write_bytes(render(sealed(full_case, helene))[0])

    assert validate([path])["report.pdf"] == {"3a": [], "ua1": []}


@pytest.mark.real_press
def test_the_report_has_bookmarks_and_its_data(full_case, helene):
    sheet = sealed(full_case, helene)
    reader = pypdf.PdfReader(io.BytesIO(render(sheet)[0]))

    titles = [str(item["/Title"]) for item in reader.outline if not isinstance(item, list)]
    assert titles[0].startswith("Condition report")
    assert json.loads(reader.attachments["condition-report.json"][0]) == sheet.data()


@pytest.mark.real_press
def test_a_preview_is_watermarked_and_an_issue_is_not(full_case, helene):
    preview = compile_paper("condition_report", full_case, language="en", made_at=NOW)

    assert "PREVIEW" in text_of(render(preview)[0])
    assert "PREVIEW" not in text_of(render(sealed(full_case, helene))[0])


def test_nothing_examined_is_refused(house, case):
    with pytest.raises(NothingExaminedError, match="No part of the instrument"):
        compile_paper("condition_report", case, language="en", made_at=NOW)


def test_no_photo_needs_a_stated_reason(house, case, armand, finding):
    with pytest.raises(ReasonForNoPhotoError, match="has no photo"):
        compile_paper("condition_report", case, language="en", made_at=NOW)

    factories.examination(case, by=armand, no_photo_reason="the owner forbids pictures")

    text = text_of(render(compile_paper("condition_report", case, language="en", made_at=NOW))[0])
    assert "There is no photo: the owner forbids pictures" in text


def test_no_finding_says_that_nothing_was_seen(house, case, photo):
    PartLook.objects.create(case=case, part=case.instrument.parts.get(key="back"), state="looked")

    text = text_of(render(compile_paper("condition_report", case, language="en", made_at=NOW))[0])

    assert "Nothing was seen on the parts examined." in text


def test_an_unbound_tag_is_counted_and_not_printed(full_case, photo, armand, client, helene):
    factories.tag(photo, None, by=armand)
    client.force_login(helene)

    page = client.get(
        reverse("papers:make", args=[full_case.number, "condition_report"])
    ).content.decode()

    assert "1 tag is bound to no finding" in page
    assert (
        len(
            compile_paper("condition_report", full_case, language="en", made_at=NOW)
            .body.photos[0]
            .marks
        )
        == 1
    )


@pytest.mark.real_press
def test_a_label_of_3000_characters_is_printed_whole(full_case, helene):
    instrument = full_case.instrument
    instrument.label_text = "Roussillat " * 272 + "finis"
    instrument.save()

    text = text_of(render(sealed(full_case, helene))[0])

    assert text.count("Roussillat ") >= 272
    assert "finis" in text


@pytest.mark.real_press
def test_right_to_left_and_emoji_text_reach_the_paper(full_case, helene, finding, tmp_path):
    finding.note = "סדק בלוח 🎻 crack"
    finding.save()

    sheet = sealed(full_case, helene)
    path = tmp_path / "rtl.pdf"
    path.write_bytes(render(sheet)[0])

    assert "violin" in text_of(path.read_bytes())
    assert sheet.body.findings[0].note == "סדק בלוח 🎻 crack"
    assert validate([path])["rtl.pdf"] == {"3a": [], "ua1": []}


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


def test_the_report_keeps_to_a_handful_of_queries(full_case, armand, django_assert_max_num_queries):
    for number in range(6):
        one = factories.finding(full_case, by=armand, part="back", term="worm")
        shot = factories.photo(full_case, by=armand, data=factories.jpeg(seed=number + 10))
        factories.tag(shot, one, by=armand)
    full_case.refresh_from_db()

    with django_assert_max_num_queries(27):
        compile_paper("condition_report", full_case, language="en", made_at=NOW)


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
