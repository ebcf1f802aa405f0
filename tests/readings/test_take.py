"""Taking a reading: what was typed is kept, what the gauge says stands beside it."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from repairs.audit.models import LogEntry
from repairs.gauges.everything import gauges
from repairs.readings.models import Prescription, Reading, Result, Verdict
from repairs.readings.sheets.catalogue import SHEETS, sheet_of
from repairs.readings.sources import source_words
from tests import factories
from tests.readings import samples
from tests.readings.pages import page_of

pytestmark = pytest.mark.django_db


def test_a_wheel_typed_with_comma_and_point_is_kept_as_typed_and_computed(client, post, case):
    rows = samples.wheel_rows()
    rows[3]["reading"] = rows[3]["reading"].replace(",", ".")

    answer = post(samples.wheel(rows, mean_diameter_mm="170,20"), note="clean rim", tool="")

    row = Reading.objects.get()
    assert answer["Location"] == row.get_absolute_url()
    assert row.raw["fields"]["mean_diameter_mm"] == "170,20"
    assert row.raw["rows"] == [{**typed, "second": "", "third": ""} for typed in rows]
    assert (row.number, row.phase, row.note, row.taken_by.username) == (
        1,
        "before",
        "clean rim",
        "armand",
    )
    assert "Reading 1 is kept." in page_of(client.get(answer["Location"]))


def test_figures_are_the_gauge_s_own(post):
    post(samples.wheel())

    result = Result.objects.get()
    typed = [float(row["reading"].replace(",", ".")) for row in samples.wheel_rows()]
    own = gauges()["wheel"].run(
        {
            "angles_deg": [15.0 * n for n in range(24)],
            "readings_mm": [value * 0.01 for value in typed],
            "mean_diameter_mm": 170.2,
            "gauge_sigma_mm": 0.005,
        }
    )
    kept = {verdict.figure: verdict for verdict in result.verdicts.all()}
    assert result.version == gauges()["wheel"].version
    assert result.output == own
    assert kept["ecc_mm"].value == own["ecc_mm"] == pytest.approx(0.1, abs=0.001)
    assert kept["ecc_mm"].u == own["u_ecc_mm"]
    assert kept["high_spot_deg"].value == pytest.approx(60, abs=0.5)


def test_raw_choices_are_said_in_words(client, post):
    page = page_of(client.get(post(samples.wheel())["Location"]))

    assert "hundredths of a millimetre" in page[page.index("Raw values") :]


def test_a_verdict_copies_its_limit_with_the_source(post):
    post(samples.wheel())

    row = Verdict.objects.get(figure="tir_mm")
    _label, limit = sheet_of("wheel").limits["tir_mm"]
    assert (row.lower, row.upper, row.source, row.word) == (
        limit.lower,
        limit.upper,
        limit.source,
        "outside",
    )
    assert Verdict.objects.get(figure="high_spot_deg").word == "not_judged"


def test_what_to_do_is_kept_line_by_line_in_its_order(client, post):
    answer = post(samples.wheel(samples.wheel_rows(ecc=8, oval=8), rim="original"))

    lines = list(Prescription.objects.all())
    page = page_of(client.get(answer["Location"]))
    codes = [line.code for line in lines]
    assert [line.position for line in lines] == list(range(1, len(lines) + 1))
    # Nothing is cut before the rim is clean, has settled and was centred; the blow that centres it
    # stands after cleaning, with its figures.
    assert codes[0] == "wheel.prepare"
    assert "wheel.consent" in codes
    assert codes[-6:] == [
        "wheel.step.clean_rim_and_rosin_again",
        "wheel.step.acclimatise",
        "wheel.step.measure_again",
        "wheel.step.reseat_or_shim",
        "wheel.shift",
        "wheel.step.measure_again",
    ]
    assert not any(line.irreversible for line in lines)
    assert "Nothing is cut yet: first what can be undone, then measure again." in page
    assert "It proposes; a luthier decides." in page


def test_the_log_says_who_took_which_reading(post, case):
    post(samples.wheel())

    line = LogEntry.objects.get(verb="reading.taken")
    assert line.subject == case.log_key
    assert line.details == {
        "reading": 1,
        "gauge": "wheel",
        "phase": "before",
        "permitted": True,
    }


@pytest.mark.parametrize("gauge", sorted(samples.SAMPLES))
def test_every_sheet_takes_its_sample_and_shows_it(client, post, gauge):
    answer = post(samples.SAMPLES[gauge](), gauge)

    assert answer.status_code == 302
    row = Reading.objects.get()
    page = page_of(client.get(answer["Location"]))
    assert samples.result_of(row).verdicts.exists()
    assert str(sheet_of(gauge).label) in page
    for verdict in samples.result_of(row).verdicts.exclude(source=""):
        assert f"({source_words(verdict.source)})" in page


def test_every_sheet_has_a_sample_here():
    assert set(samples.SAMPLES) == set(SHEETS)


def test_readings_are_numbered_in_their_case(vielle, case, armand):
    other = factories.case(vielle, by=armand)

    numbers = [samples.reading(one, by=armand).number for one in (case, case, other, case)]

    assert numbers == [1, 2, 1, 3]


def test_an_apprentice_may_record_and_a_reader_may_only_look(client, lise, tom, armand, case):
    samples.reading(case, by=armand)
    client.force_login(lise)
    taken = client.post(samples.address(case), samples.about() | samples.wheel())
    assert taken.status_code == 302
    assert Reading.objects.count() == 2

    client.force_login(tom)
    seen = client.get(reverse("readings:detail", args=[case.number, 1]))
    for address in (
        samples.address(case),
        samples.address(case, name="try"),
        reverse("readings:recompute", args=[case.number, 1]),
        reverse("readings:withdraw", args=[case.number, 1]),
    ):
        assert client.post(address, samples.wheel()).status_code == 403
    assert seen.status_code == 200
    assert "Withdraw this reading" not in seen.text
    assert "Compute anew" not in seen.text
    assert Reading.objects.present().count() == 2


def test_the_page_of_a_case_lists_its_readings_with_the_gravest_word(client, post, case):
    post(samples.wheel(), subject="old wheel")
    # So true a wheel lies within one division of the dial: it is asked about, and was looked at.
    post(samples.wheel(samples.wheel_rows(ecc=0.4)) | {"so_it_is": "1"}, phase="after")

    page = page_of(client.get(case.get_absolute_url()))

    assert "1 · Wheel, dial readings" in page
    assert "old wheel" in page
    assert '<span class="verdict-outside">✕ outside</span>' in page
    assert '<span class="verdict-inside">● inside</span>' in page


def test_the_case_page_asks_the_same_for_twelve_readings_as_for_three(client, armand, case):
    counts = []
    client.force_login(armand)
    for number in (3, 9):
        for place in range(number):
            gauge = ("wheel", "correction", "string_set")[place % 3]
            samples.reading(case, by=armand, gauge=gauge)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(case.get_absolute_url()).status_code == 200
        counts.append(len(queries))

    assert counts[0] == counts[1] <= 50


def test_a_reading_of_many_keys_asks_the_same_as_one_of_few(client, armand, case):
    counts = []
    client.force_login(armand)
    for keys in (2, 20):
        words = samples.keys(dict.fromkeys(range(1, keys + 1), "1,5"))
        row = samples.reading(case, by=armand, gauge="correction", words=words, subject=str(keys))
        with CaptureQueriesContext(connection) as queries:
            assert client.get(row.get_absolute_url()).status_code == 200
        counts.append(len(queries))

    assert counts[0] == counts[1] <= 20


@pytest.mark.parametrize(("reason", "asked"), [("house", True), ("repair", False)])
def test_rounds_are_only_for_an_instrument_of_the_house(client, armand, vielle, reason, asked):
    case = factories.case(vielle, by=armand, reason=reason)
    client.force_login(armand)

    page = client.get(samples.address(case)).text
    client.post(samples.address(case), samples.about(round="2") | samples.wheel())

    assert ('name="round"' in page) is asked
    assert Reading.objects.get().round == (2 if asked else None)
