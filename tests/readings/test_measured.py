"""“Not measured yet” in a finding, beside a reading of the same survey: the screen asks which."""

from __future__ import annotations

import html

import pytest
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.findings.models import Finding
from repairs.language.text import LANGUAGES
from repairs.papers.kinds import compile_paper
from repairs.press.render import to_html
from repairs.readings.measured import answered, gauges_for, measured_by, questions, says_unmeasured
from repairs.readings.models import Reading
from repairs.readings.sheets.catalogue import SHEETS
from tests import factories
from tests.conftest import NOW

pytestmark = pytest.mark.django_db

UNSAID = "Gronde une fois par tour\u202f; non mesuré encore."


@pytest.fixture
def sung(case, armand) -> Finding:
    """A string that nobody has measured, says the one who noted it."""
    return factories.finding(
        case, by=armand, part="chanterelles", term="false_string", note="Beats; not measured yet."
    )


@pytest.fixture
def reading(case, armand, sung) -> Reading:
    return factories.string_reading(case, by=armand)


@pytest.fixture
def answer(client, armand, case, sung):
    client.force_login(armand)
    address = reverse("readings:measured", args=[case.number, sung.number])
    return lambda said: client.post(address, {"reading": said}, follow=True)


@pytest.mark.parametrize(
    ("note", "is_said"),
    [
        ("Beats; not measured yet.", True),
        ("Still to be measured.", True),
        ("Not yet measured", True),
        (UNSAID, True),
        ("Pas encore mesurée.", True),
        ("Reste à mesurer au comparateur.", True),
        ("Measured at 0.12 mm.", False),
        ("Mesuré en cinq points.", False),
        ("", False),
    ],
)
def test_the_words_that_say_so_are_known_in_both_languages(note, is_said):
    assert says_unmeasured(Finding(note=note)) is is_said


def test_every_gauge_and_every_list_of_what_measures_what_is_known():
    assert {gauge for row in measured_by() for gauge in row["readings"]} <= set(SHEETS)
    assert all(row["parts"] or row["terms"] for row in measured_by())


def test_a_wheel_is_measured_by_the_dial_and_a_crack_by_its_gap(case, armand):
    rim = factories.finding(case, by=armand, part="rim_band", term="not_true")
    crack = factories.finding(case, by=armand, part="back", term="crack")

    assert gauges_for(rim) == {"wheel"}
    assert gauges_for(crack) == {"crack_joint", "cleats"}


def test_it_is_asked_once_there_is_a_reading_of_such_a_thing(case, armand, sung):
    before = questions(case)
    reading = factories.string_reading(case, by=armand)

    after = questions(case)

    assert before == []
    assert [(one.finding, one.readings) for one in after] == [(sung, (reading,))]


@pytest.mark.parametrize(
    "fields", [{"phase": "after"}, {"not_permitted": "it may not be strung", "raw": {}}]
)
def test_a_reading_after_the_work_or_one_not_made_answers_nothing(case, armand, sung, fields):
    factories.string_reading(case, by=armand, **fields)

    assert questions(case) == []


def test_a_finding_whose_words_say_nothing_of_it_is_not_asked_about(case, armand):
    factories.finding(case, by=armand, part="chanterelles", term="fray", note="Wound off.")
    factories.string_reading(case, by=armand)

    assert questions(case) == []


def test_the_answer_is_kept_told_in_the_log_and_asked_no_more(case, sung, reading, answer):
    page = answer(str(reading.number)).text

    assert f"Finding {sung.number} is measured by reading {reading.number}." in page
    assert questions(case) == []
    (kept,) = answered(case)
    assert (kept.finding, kept.reading) == (sung, reading)
    line = LogEntry.objects.filter(verb="finding.measured").get()
    assert line.details == {"finding": sung.number, "reading": reading.number}


def test_none_of_them_is_asked_again_when_there_is_a_newer_one(case, armand, sung, reading, answer):
    answer("none")
    silent = questions(case)
    newer = factories.string_reading(case, by=armand)

    assert silent == []
    assert [one.readings for one in questions(case)] == [(newer,)]


def test_an_answer_is_taken_back(case, sung, reading, answer):
    answer(str(reading.number))

    answer("again")

    assert [one.finding for one in questions(case)] == [sung]
    assert answered(case) == []


def test_a_withdrawn_reading_takes_its_answer_along(case, sung, reading, answer):
    answer(str(reading.number))
    Reading.objects.update(withdrawn_at=timezone.now())

    assert answered(case) == []


@pytest.mark.parametrize("said", ["", "99", "x", "1e3", "-1"])
def test_no_reading_is_no_answer(case, reading, answer, said):
    assert answer(said).status_code in (200, 404)
    assert answered(case) == []


ASKED = {
    "en": "Finding 1 says that it is not measured. Which of these readings did measure it?",
    "fr": "L’observation 1 dit qu’elle n’est pas mesurée. Laquelle de ces mesures la chiffre ?",
}
TOLD = {"en": "reading 1", "fr": "mesure 1"}


def plain(page: str) -> str:
    return " ".join(html.unescape(page).split())


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("place", ["case", "paper"])
def test_the_case_and_the_page_of_its_report_ask(client, case, armand, reading, language, place):
    factories.examination(case, by=armand, no_photo_reason="the owner forbids pictures")
    client.force_login(factories.person("basile", "luthier", language))
    made = reverse("papers:make", args=[case.number, "condition_report"])

    page = client.get(case.get_absolute_url() if place == "case" else made).text

    assert ASKED[language] in plain(page)
    assert "string_set" not in page.partition('id="measured-1"')[2].partition("</form>")[0]


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_report_names_the_reading_beside_the_finding(
    house, case, armand, sung, reading, answer, language
):
    factories.examination(case, by=armand, no_photo_reason="the owner forbids pictures")
    answer(str(reading.number))

    sheet = compile_paper("condition_report", case, language=language, made_at=NOW)

    assert [one.readings for one in sheet.body.findings] == [(reading.number,)]
    assert f"({TOLD[language]})" in plain(to_html(sheet))
