"""Before and after, laid over one another; and whether a change is more than the uncertainty."""

from __future__ import annotations

import datetime as dt
import html
import re
from typing import Any

import pytest
from django.utils import timezone, translation

from repairs.readings import show
from repairs.readings.models import Reading, Result, Verdict
from repairs.readings.sheets.catalogue import sheet_of
from tests.readings import samples

pytestmark = pytest.mark.django_db
DASHED = re.compile(r'<polygon[^>]*stroke-dasharray="5 4"')


@pytest.fixture
def take(case, armand):
    """A reading of the wheel, with an eccentricity in hundredths, taken so many hours ago."""

    def taken(ecc: float = 10.0, *, hours: float = 0, **fields: Any) -> Reading:
        rows = samples.wheel_rows(ecc=ecc, high_deg=fields.pop("high_deg", 60))
        at = timezone.now() - dt.timedelta(hours=hours)
        words = samples.wheel(rows)
        return samples.reading(case, by=armand, words=words, taken_at=at, **fields)

    return taken


def verdicts(reading: Reading, **figures: tuple[float, float | None, str]) -> None:
    """A result with hand-made figures: value, uncertainty, unit."""
    result = Result.objects.create(
        reading=reading,
        version="by hand",
        output=samples.result_of(reading).output,
        computed_at=timezone.now(),
    )
    for figure, (value, u, unit) in figures.items():
        Verdict.objects.create(
            result=result, figure=figure, value=value, u=u, unit=unit, word="not_judged"
        )


def fresh(reading: Reading) -> Reading:
    return Reading.objects.get(pk=reading.pk)


def changes(
    take: Any, was: tuple[float, float | None, str], now: tuple[float, float | None, str]
) -> Any:
    """The row of the change table for one figure."""
    before, after = take(hours=2), take(hours=1)
    figure = "high_spot_deg" if was[2] == "°" else "tir_mm"
    verdicts(before, **{figure: was})
    verdicts(after, **{figure: now})
    (row,) = show.changes(fresh(before), fresh(after))
    return row


def test_the_earlier_wheel_lies_dashed_under_the_later(client, armand, take, case):
    before, after = take(10, hours=3), take(2, hours=1, phase="after")
    client.force_login(armand)

    first = client.get(before.get_absolute_url()).text
    second = client.get(after.get_absolute_url()).text

    assert not DASHED.search(first)
    assert len(DASHED.findall(second)) == 1
    assert "Against reading 1" in second
    assert "- - before" in second
    assert "Against reading" not in first


def test_keys_before_are_marked_beside_their_bars(client, armand, case):
    samples.reading(case, by=armand, gauge="correction")
    after = samples.reading(case, by=armand, gauge="correction", phase="after")
    client.force_login(armand)

    page = client.get(after.get_absolute_url()).text

    assert "— before" in page
    assert "Against reading 1" in page


def test_the_change_table_says_what_changed_and_whether_it_is_sure(client, armand, take):
    take(10, hours=3)
    after = take(1, hours=1, phase="after")
    client.force_login(armand)

    page = " ".join(html.unescape(client.get(after.get_absolute_url()).text).split())
    page = re.sub(r" ?(</?t[rhd]\b[^>]*>) ?", r"\1", page)
    row = re.search(r"<tr><th scope=\"row\">Eccentricity</th>(.*?)</tr>", page.split("Against")[1])

    assert row is not None
    assert re.findall(r"<td[^>]*>(.*?)</td>", row[1]) == [
        "0.100 mm",
        "0.010 mm",
        "−0.090",
        "● yes",
    ]


@pytest.mark.parametrize(
    ("was", "now", "change", "sure"),
    [
        # sqrt(0.003² + 0.004²) = 0.005: twice that is 0.010
        ((0.100, 0.003, "mm"), (0.089, 0.004, "mm"), "−0.011", True),
        ((0.100, 0.003, "mm"), (0.091, 0.004, "mm"), "−0.009", False),
        ((0.100, 0.003, "mm"), (0.111, 0.004, "mm"), "+0.011", True),
        ((0.100, 0.003, "mm"), (0.100, 0.004, "mm"), "0.000", False),
        ((0.100, None, "mm"), (0.300, 0.004, "mm"), "+0.200", None),
        ((0.100, 0.003, "mm"), (0.300, None, "mm"), "+0.200", None),
        ((0.1, 0.0, "mm"), (0.3, 0.0, "mm"), "+0.200", True),
        # 0.1804 is seen as 0.180 and 0.2116 as 0.212: seen apart by 0.032, though by 0.0312
        ((0.2116, 0.0, "mm"), (0.1804, 0.0, "mm"), "−0.032", True),
        # angles change by the shorter way round: sqrt(3² + 4²) = 5
        ((355.0, 3.0, "°"), (4.0, 4.0, "°"), "+9", False),
        ((4.0, 3.0, "°"), (353.0, 4.0, "°"), "−11", True),
        ((90.0, 3.0, "°"), (60.0, 4.0, "°"), "−30", True),
    ],
)
def test_a_change_counts_when_it_is_more_than_twice_its_uncertainty(take, was, now, change, sure):
    row = changes(take, was, now)

    assert (row.change, row.is_sure) == (change, sure)


def test_changes_are_written_as_the_language_writes_numbers(take):
    with translation.override("fr"):
        row = changes(take, (0.1, 0.003, "mm"), (0.089, 0.004, "mm"))

    assert (row.before, row.after) == ("0,100 mm", "0,089 mm")
    assert row.change == "−0,011"


def test_the_one_before_is_the_last_taken_of_the_same_gauge_and_subject(case, armand, take):
    old = take(hours=9)
    last = take(hours=5)
    take(hours=4, subject="other wheel")
    samples.reading(case, by=armand, gauge="correction")
    now = take(hours=1)
    late = take(hours=7)  # entered last, though taken between the first two
    rows = list(case.readings.present())

    assert show.twin_before(now, rows) == last
    assert show.twin_before(last, rows) == late
    assert show.twin_before(late, rows) == old
    assert show.twin_before(old, rows) is None


def test_a_reading_not_done_or_withdrawn_is_nothing_to_compare_with(case, armand, take):
    gone = take(hours=6)
    gone.withdrawn_at = timezone.now()
    gone.save()
    samples.reading(case, by=armand, not_permitted="no")
    now = take()

    assert show.twin_before(now, list(case.readings.present())) is None


def test_figures_that_only_one_reading_has_are_left_out(take, case, armand):
    before = take(hours=3)
    words = samples.wheel(samples.wheel_rows(), lift_mm="1")
    after = samples.reading(case, by=armand, words=words)

    labels = {row.label for row in show.changes(before, after)}
    own = {row.key for row in show.saved(after).figures}

    assert "swelling_pct" in own
    assert not any("swelling" in label for label in labels)
    assert len(labels) == len(show.saved(before).figures)


def test_a_table_with_other_rows_is_compared_by_name(case, armand):
    first = [samples.string(name, "345", "196", "1,4") for name in ("Mouche", "Trompette")]
    then = [samples.string("Trompette", "345", "196", "1,5")]
    before, after = (
        samples.reading(case, by=armand, gauge="string_set", words=samples.form({}, rows))
        for rows in (first, then)
    )

    rows = {row.label: row for row in show.changes(before, after)}

    assert "tension of Trompette" in rows
    assert "tension of Mouche" not in rows
    was = next(r for r in show.saved(before).figures if r.key == "tension_n:Trompette")
    assert rows["tension of Trompette"].before == was.value


@pytest.mark.parametrize("gauge", sorted(samples.SAMPLES))
def test_every_sheet_lies_over_an_earlier_one_of_its_own(case, armand, gauge):
    before = samples.reading(case, by=armand, gauge=gauge)
    after = samples.reading(case, by=armand, gauge=gauge)

    shown = show.saved(after, before)

    assert (shown.chart != "") == (show.saved(after).chart != "")
    assert {row.is_sure for row in show.changes(before, after)} <= {False, None}
    assert sheet_of(gauge).gauge == gauge
