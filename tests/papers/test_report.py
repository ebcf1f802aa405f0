"""The condition report: everything that must stand in it."""

from __future__ import annotations

import datetime as dt
import io
import json

import pypdf
import pytest
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext_lazy as _

from repairs.findings.look_models import PartLook
from repairs.findings.refusals import NothingExaminedError
from repairs.papers.kinds import compile_paper
from repairs.papers.needs.refusals import ReasonForNoPhotoError
from repairs.press.actions import propose_seal
from repairs.press.render import render
from repairs.storage.fixtures import read_fixture
from tests import factories
from tests.outside.verapdf import validate
from tests.papers.conftest import text_of

HEADS = (
    _("Finding, part"),
    _("Severity"),
    _("Urgency"),
    _("Probable cause"),
    _("Part present"),
    _("Material"),
    _("Protected species"),
    _("Signature at exit: name, date"),
)
NOW = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


def sealed(case, by, language="en"):
    seal = propose_seal("condition_report", case.log_key, by=by, at=NOW)
    return compile_paper("condition_report", case, language=language, made_at=NOW, seal=seal)


@pytest.mark.parametrize("language", ["en", "fr"])
def test_every_required_unit_has_its_place_in_the_report(full_case, helene, language):
    """Units: scope of EN 16095:2012, Spectrum and CIMCIM as digested in the checklist fixture."""
    made = sealed(full_case, helene, language)
    text = text_of(render(made)[0]).casefold()
    elsewhere = {
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
        if unit["key"] not in elsewhere
    }

    assert {key for key, label in labels.items() if label not in text} == set()
    for words in HEADS:
        with translation.override(language):
            assert " ".join(str(words).casefold().split()) in text
    (one,) = made.body.findings
    for said in (one.term, one.part, one.location, one.extent, one.severity_label):
        assert " ".join(said.casefold().split()) in text
    for said in (one.stability, one.age, one.cause, one.urgency):
        assert said.casefold().replace("\u00a0", " ") in text


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


def test_the_report_keeps_to_a_handful_of_queries(full_case, armand, django_assert_max_num_queries):
    for number in range(6):
        one = factories.finding(full_case, by=armand, part="back", term="worm")
        shot = factories.photo(full_case, by=armand, data=factories.jpeg(seed=number + 10))
        factories.tag(shot, one, by=armand)
    full_case.refresh_from_db()

    with django_assert_max_num_queries(28):
        compile_paper("condition_report", full_case, language="en", made_at=NOW)
