"""Readings on the case page and in the condition report: figures, limits, chart, and its words."""

from __future__ import annotations

import html
import io
import json
from decimal import Decimal
from typing import Any

import pypdf
import pytest
from django.utils import timezone, translation
from django.utils.translation import trans_real

from repairs.findings.look_models import PartLook
from repairs.papers.blocks.readings import reading_blocks
from repairs.papers.kinds import compile_paper
from repairs.press.actions import propose_seal
from repairs.press.render import render
from repairs.readings import actions, show
from repairs.readings.models import Tool
from repairs.readings.sheets.catalogue import SHEETS, sheet_of
from tests import factories
from tests.conftest import NOW
from tests.outside.verapdf import validate
from tests.readings import samples

pytestmark = pytest.mark.django_db


@pytest.fixture
def case(house, case, armand):
    """A case that a report can be made of."""
    factories.examination(case, by=armand, no_photo_reason="the owner forbids pictures")
    PartLook.objects.create(case=case, part=case.instrument.parts.get(key="back"), state="looked")
    return case


def report(case: Any, by: Any, language: str = "en") -> Any:
    seal = propose_seal("condition_report", case.log_key, by=by, at=NOW)
    return compile_paper("condition_report", case, language=language, made_at=NOW, seal=seal)


def text_of(pdf: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    words = " ".join(" ".join(page.extract_text().split()) for page in pages)
    return words.replace("\u00a0", " ").replace("\u202f", " ")


def alternatives(pdf: bytes) -> list[str]:
    """Texts that stand for pictures, out of the tags of the file."""
    found: list[str] = []

    def walk(node: Any) -> None:
        node = node.get_object()
        if isinstance(node, list):
            for child in node:
                walk(child)
        elif isinstance(node, dict):
            if "/Alt" in node:
                found.append(str(node["/Alt"]))
            if "/K" in node:
                walk(node["/K"])

    root: Any = pypdf.PdfReader(io.BytesIO(pdf)).trailer["/Root"]
    walk(root["/StructTreeRoot"])
    return found


@pytest.mark.real_press
def test_a_reading_stands_in_the_report_with_all_that_belongs_to_it(case, helene, armand):
    tool = Tool.objects.create(name="Dial, blue", resolution=Decimal("0.0100"))
    samples.reading(
        case,
        by=armand,
        tool=tool,
        subject="old wheel",
        room_t_c=Decimal("18.5"),
        room_rh_pct=Decimal("46"),
        note="Rim freed of rosin.",
    )

    pdf, _pages = render(report(case, helene))

    text = text_of(pdf)
    for words in (
        "1 · Wheel, dial readings · old wheel · before work",
        "before work",
        "by Armand Sautarel",
        "Dial, blue (0.01 mm)",
        "18.5 °C",
        "46 % RH",
        "version 3 of the gauge",
        "Run-out in one turn",
        "0.201 mm",
        "at most 0.05 mm",
        "run-out in one turn, roundness, least-squares circle: common practice",
        "outside",
        "Re-centre the wheel; do not cut it.",
        "It proposes; a luthier decides.",
        "Rim freed of rosin.",
    ):
        assert words in text, words
    alt = next(words for words in alternatives(pdf) if words.startswith("Polar plot"))
    assert "high spot at 60° from the crank’s mark" in alt


def test_the_data_inside_the_paper_holds_the_reading(case, helene, armand):
    samples.reading(case, by=armand)
    samples.reading(case, by=armand, not_permitted="the owner said no", gauge="correction")

    pdf, _pages = render(report(case, helene))

    data = json.loads(pypdf.PdfReader(io.BytesIO(pdf)).attachments["condition-report.json"][0])
    first, second = data["content"]["readings"]
    tir = next(row for row in first["figures"] if row["label"] == "run-out in one turn")
    assert (first["number"], first["gauge"], first["version"]) == (1, "wheel", "wheel 3")
    assert (tir["value"], tir["limit"], tir["source"], tir["word"]) == (
        "0.201 mm",
        "at most 0.05 mm",
        "common practice",
        "outside",
    )
    assert second["not_permitted"] == "the owner said no"
    assert second["figures"] == []


@pytest.mark.share(2)
@pytest.mark.parametrize("language", ["en", "fr"])
@pytest.mark.real_press
def test_a_report_with_a_reading_of_every_kind_is_archival_and_accessible(
    case, helene, armand, tmp_path, language
):
    for gauge in SHEETS:
        samples.reading(case, by=armand, gauge=gauge)
        samples.reading(case, by=armand, gauge=gauge, phase="after")
    samples.reading(case, by=armand, not_permitted="the owner said no")
    pdf, _pages = render(report(case, helene, language))
    path = tmp_path / "report.pdf"
    path.write_bytes(pdf)

    assert validate([path])["report.pdf"] == {"3a": [], "ua1": []}
    text = text_of(pdf).casefold()
    with translation.override(language):
        for gauge in SHEETS:
            assert " ".join(str(sheet_of(gauge).label).casefold().split()) in text
        charts = [block.alt for block in reading_blocks(case) if block.chart]
    assert set(charts) <= {words.replace("\u00a0", " ") for words in alternatives(pdf)} | set(
        alternatives(pdf)
    )
    assert len(charts) >= 2


def test_numbers_follow_the_language_of_the_reader(client, case, helene, armand):
    samples.reading(case, by=armand)

    french = text_of(render(report(case, helene, "fr"))[0])
    armand.language = "fr"
    armand.save()
    client.force_login(armand)
    page = html.unescape(client.get(case.readings.get().get_absolute_url()).text)

    for said in (french, page.replace("\u00a0", " ")):
        assert "0,200 mm" in said
        assert "0,05 mm" in said
        assert "0.200" not in said


def test_names_given_by_the_gauge_follow_the_language_too(case, armand):
    with translation.override("fr"):
        reading = samples.reading(case, by=armand, gauge="correction")
    assert samples.result_of(reading).output["strings"][0]["name"] == "first"

    with translation.override("en"):
        (block,) = reading_blocks(case)

    assert any("first chanterelle, key 4" in row.label for row in block.figures)
    assert any("first chanterelle, 4" in line for line in block.advice)


def test_the_earlier_one_is_drawn_under_the_later_on_paper_as_well(case, armand):
    samples.reading(case, by=armand)
    samples.reading(case, by=armand, phase="after", words=samples.wheel(samples.wheel_rows(2)))

    first, second = reading_blocks(case)

    assert 'stroke-dasharray="5 4"' not in first.chart
    assert 'stroke-dasharray="5 4"' in second.chart


def test_a_round_is_told_with_its_phase(vielle, armand):
    made = factories.case(vielle, by=armand, reason="house")
    samples.reading(made, by=armand, round=2)

    assert reading_blocks(made)[0].phase == "before work, round 2"


# Not permitted ----------------------------------------------------------------------------------


def test_the_sheet_warns_of_what_the_case_does_not_permit(client, vielle, armand):
    asked = factories.case(vielle, by=armand)
    allowed = factories.case(vielle, by=armand, may_turn="yes", leave_decided_by="the owner")
    client.force_login(armand)

    warning = "This case does not permit what this reading needs."
    assert warning in client.get(samples.address(asked)).text
    assert warning not in client.get(samples.address(allowed)).text
    assert warning not in client.get(samples.address(asked, "string_set")).text


@pytest.mark.parametrize("words", [{}, samples.wheel()])
def test_not_permitted_is_kept_as_such_and_claims_nothing(client, case, helene, armand, words):
    client.force_login(armand)
    said = samples.about(not_permitted="the owner forbids turning")

    answer = client.post(samples.address(case), said | words)

    reading = case.readings.get()
    page = html.unescape(client.get(answer["Location"]).text)
    docket = html.unescape(client.get(case.get_absolute_url()).text)
    text = text_of(render(report(case, helene))[0])
    (block,) = reading_blocks(case)
    assert not reading.results.exists()
    assert reading.latest is None
    assert "Not done: not permitted. the owner forbids turning" in page
    assert "Compute anew" not in page
    assert "○ not permitted" in docket
    assert "Not done: not permitted. The owner forbids turning" in text
    assert (block.figures, block.chart, block.advice, block.version) == ((), "", (), "")


@pytest.mark.parametrize("gauge", sorted(SHEETS))
def test_every_sheet_can_be_recorded_as_not_permitted(client, case, armand, gauge):
    client.force_login(armand)

    answer = client.post(samples.address(case, gauge), samples.about(not_permitted="no leave"))

    assert answer.status_code == 302
    assert client.get(answer["Location"]).status_code == 200


def test_a_withdrawn_reading_leaves_the_paper_and_comes_back(case, armand):
    reading = samples.reading(case, by=armand)

    actions.set_withdrawn(reading, True, by=armand, at=timezone.now())
    gone = reading_blocks(case)
    actions.set_withdrawn(reading, False, by=armand, at=timezone.now())

    assert gone == ()
    assert len(reading_blocks(case)) == 1


def test_the_report_asks_the_same_for_twelve_readings_as_for_three(
    case, armand, django_assert_max_num_queries
):
    for number in (3, 9):
        for _time in range(number):
            samples.reading(case, by=armand)
        with django_assert_max_num_queries(4):
            reading_blocks(case)


@pytest.fixture
def marked_french(monkeypatch):
    """A French in which every sentence is another one, whether it is translated yet or not."""
    with translation.override("fr"):
        catalogue = trans_real.translation("fr")
    monkeypatch.setattr(catalogue, "gettext", lambda words: f"«{words}»")


@pytest.mark.usefixtures("marked_french")
@pytest.mark.parametrize("gauge", sorted(samples.SAMPLES))
def test_what_is_shown_does_not_depend_on_the_language_of_the_one_who_took_it(case, armand, gauge):
    readings = []
    for language in ("en", "fr"):
        with translation.override(language):
            readings.append(samples.reading(case, by=armand, gauge=gauge))

    for language in ("en", "fr"):
        with translation.override(language):
            first, second = (show.saved(reading) for reading in readings)
            assert first == second
            assert ("«" in first.title) is (language == "fr")


@pytest.mark.real_press
def test_the_first_page_names_what_lies_outside_in_the_last_reading_of_each_kind(
    case, helene, armand
):
    early = samples.wheel(samples.wheel_rows(ecc=30.0))
    samples.reading(case, by=armand, words=early)
    pdf, _pages = render(report(case, helene))
    far = reading_blocks(case)[0].figures
    outside = [figure for figure in far if figure.word == "outside"]
    assert outside

    body = report(case, helene).body
    first = pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text()

    assert f"wheel, dial readings: {outside[0].label} {outside[0].value}" in body.outside
    assert "Readings outside their limits" in " ".join(first.split())

    samples.reading(case, by=armand, words=samples.wheel(samples.wheel_rows(ecc=0.5)))

    assert report(case, helene).body.outside == ()
