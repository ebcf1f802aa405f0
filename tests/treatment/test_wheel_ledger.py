"""The ledger of a wheel on its screen: lines, cuts on record, what is left and what is unknown."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone, translation

from repairs.treatment.wheel_cuts import Cut
from repairs.treatment.wheel_ledger import _between, cuts_words, ledger_of
from tests import factories
from tests.readings import samples
from tests.readings.pages import page_of
from tests.treatment import promising

pytestmark = pytest.mark.django_db


def address(case):
    return reverse("treatment:wheel_ledger", args=[case.instrument.number])


def days_ago(days: int) -> dt.datetime:
    return timezone.now() - dt.timedelta(days=days)


def read(case, diameter: str, days: int, *, by):
    words = samples.wheel(samples.wheel_rows(2.0, 8.0), mean_diameter_mm=diameter)
    return samples.reading(case, by=by, words=words, taken_at=days_ago(days))


def test_an_empty_ledger_says_so(client, armand, case):
    client.force_login(armand)

    assert "No reading of its wheel was kept yet" in page_of(client.get(address(case)))


def test_the_tightest_string_tells_how_many_cuts_are_left(client, armand, case):
    read(case, "170,2", 20, by=armand)
    read(case, "170,0", 10, by=armand)
    samples.reading(
        case, by=armand, gauge="force_turn", words=samples.force(), taken_at=days_ago(5)
    )
    client.force_login(armand)

    with translation.override("en"):
        ledger = ledger_of(case.instrument, armand)

    assert ledger is not None
    # An oval of 0.08 mm: its inscribed circle lies 0.08 mm inside the mean one.
    assert ledger.next_cut.startswith("0.08 ± ")
    chanterelle, mouche = ledger.rooms
    assert chanterelle.is_tightest
    assert not mouche.is_tightest
    assert chanterelle.cuts.startswith("12 (")  # 1.0 mm / 0.08 mm
    words = f"Cuts left: {chanterelle.cuts}; then the lift of Chanterelle is used up."
    assert ledger.verdict == words
    assert ledger.lines[0].change == "smaller, and no cut is on record"
    assert ledger.lines[0].lost.startswith("−0.10 ± 0.01")
    page = page_of(client.get(address(case)))
    assert "▲ ends first" in page
    assert "may be used up before any lift is" in page


def test_it_is_read_in_french(client, armand, case):
    read(case, "170,2", 20, by=armand)
    armand.language = "fr"
    armand.save()
    client.force_login(armand)

    page = page_of(client.get(address(case)))

    assert "Carnet de la roue" in page
    assert "On ne sait pas combien de coupes restent" in page
    assert "170,20 ± 0,02" in page


def test_a_cut_belongs_to_the_reading_after_it(case, armand):
    rows = [read(case, "170,2", 20, by=armand), read(case, "170,0", 10, by=armand)]
    work: Any = None
    cuts = [Cut(days_ago(days), armand, None, work) for days in (30, 15, 5)]

    first, second = _between(rows, cuts)

    assert first == ()  # what was cut before the first reading is in its diameter already
    assert second == (cuts[1],)


def test_the_instrument_and_the_reading_lead_to_the_ledger(client, armand, case):
    reading = read(case, "170,2", 20, by=armand)
    client.force_login(armand)

    for page in (reading.get_absolute_url(), case.instrument.get_absolute_url()):
        assert address(case) in client.get(page).text


def test_without_a_wheel_there_is_no_ledger(client, armand, helene, owner):
    violin = factories.instrument(owner, by=helene, kind="violin")
    client.force_login(armand)

    answer = client.get(reverse("treatment:wheel_ledger", args=[violin.number]))

    assert answer.status_code == 404


@pytest.mark.parametrize(
    ("cuts", "low", "high", "words"),
    [(4, 3, 6, "4 (3 to 6)"), (2, 2, 2, "2"), (99, 60, 99, "more than 98"), (0, 0, 0, "0")],
)
def test_a_count_of_cuts_in_words(cuts, low, high, words):
    with translation.override("en"):
        assert cuts_words({"cuts": cuts, "low": low, "high": high}) == words


def test_a_cut_on_record_is_told_by_whom_and_how_deep(client, armand, case):
    undone = {"surface": "clean", "acclimatised": "1", "recentred": "1", "leave": "1"}
    oval = samples.wheel(samples.wheel_rows(0.5, 20.0), rim="later_replacement", **undone)
    before = samples.reading(case, by=armand, words=oval, taken_at=days_ago(2))
    work = promising.begun(case, "wheel_truing", by=armand)
    promising.done(work, promising.told(before, "wheel.cut"), 0.41, by=armand)
    round_again = samples.wheel(samples.wheel_rows(0.5, 0.2), mean_diameter_mm="169,8")
    samples.reading(
        case, by=armand, words=round_again, taken_at=timezone.now() + dt.timedelta(minutes=1)
    )
    client.force_login(armand)

    with translation.override("en"):
        ledger = ledger_of(case.instrument, armand)

    assert ledger is not None
    (cut,) = ledger.lines[0].cuts
    assert (cut.by, cut.depth_mm, cut.work) == (armand, 0.41, work)
    assert (ledger.cuts, ledger.lines[0].change) == (1, "cut")
    assert ledger.lines[0].lost.startswith("−0.20 ± ")  # of the radius: 170.2 to 169.8 mm
    page = page_of(client.get(address(case)))
    assert "1 cut lies between the readings kept here." in page
    assert "(0.41 mm deep)" in page
    assert work.get_absolute_url() in client.get(address(case)).text
