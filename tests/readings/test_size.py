"""Readings at size: a case read for years, and the widest keyboard that a sheet takes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from repairs.bench.readings import rounds
from repairs.cases.models import Case
from repairs.causes.diagnosis import reads_of
from repairs.gauges.causes.evidence import gather
from repairs.readings.anew import last_before
from repairs.readings.models import Prescription, Reading, Result, Verdict
from tests.readings import samples

pytestmark = pytest.mark.django_db


QUARTER_TONES = "quarter tones\n24\n" + "\n".join(f"{50.0 * n}" for n in range(1, 25))


def asked(doing: Callable[[], Any]) -> int:
    with CaptureQueriesContext(connection) as queries:
        doing()
    return len(queries)


def repeat(first: Reading, count: int, **fields: Any) -> list[Reading]:
    """So many readings more like the first one, each with its result and verdicts."""
    start = timezone.now() - dt.timedelta(days=1)
    result = samples.result_of(first)
    verdicts = list(result.verdicts.all())
    last = first.case.readings.order_by("-number").values_list("number", flat=True)[0]
    said = {"case": first.case, "gauge": first.gauge, "raw": first.raw} | fields
    said |= {"taken_by": first.taken_by, "saved_at": start}
    rows = Reading.objects.bulk_create(
        Reading(number=last + n, taken_at=start + dt.timedelta(minutes=n), **said)
        for n in range(1, count + 1)
    )
    results = Result.objects.bulk_create(
        Result(reading=row, version=result.version, output=result.output, computed_at=start)
        for row in rows
    )
    Verdict.objects.bulk_create(
        Verdict(
            result=one,
            figure=v.figure,
            value=v.value,
            u=v.u,
            unit=v.unit,
            upper=v.upper,
            source=v.source,
            word=v.word,
        )
        for one in results
        for v in verdicts
    )
    return rows


def keyboard(count: int) -> dict[str, str]:
    """Both chanterelles of a keyboard of so many keys in quarter tones, every note out of tune."""
    said = {
        "length_mm": "345",
        "temperament": "just",
        "scl": QUARTER_TONES,
        "reading": "off_wanted",
        "open_cents": "0",
        "offset_mm": "3",
        "u_cents": "0,5",
    }
    rows = [
        {"key": str(k), "first": f"{(-1) ** k * 9}", "second": f"{(-1) ** k * 8}"}
        for k in range(1, count + 1)
    ]
    return samples.form(said, rows)


def test_a_page_of_a_reading_asks_no_oftener_among_1500(client, armand, case):
    client.force_login(armand)
    first = samples.reading(case, by=armand)
    few = repeat(first, 2)
    address = few[-1].get_absolute_url()
    client.get(address)
    before = asked(lambda: client.get(address))

    many = repeat(first, 1500)
    address = many[-1].get_absolute_url()

    assert asked(lambda: client.get(address)) == before
    assert last_before(many[-1]) == many[-2]
    page = client.get(address).text
    assert f"Against reading {many[-2].number}" in page


def test_causes_of_1500_readings_are_found_with_as_many_questions_as_of_two(
    client, armand, case: Case
):
    client.force_login(armand)
    first = samples.reading(case, by=armand)
    address = reverse("readings:diagnosis", args=[case.number])
    client.get(address)
    before = asked(lambda: client.get(address))

    rows = repeat(first, 1500)
    last = samples.result_of(rows[-1])
    Verdict.objects.filter(result=last).update(word="inside")

    assert asked(lambda: client.get(address)) == before
    assert asked(lambda: list(reads_of(case))) == 2
    assert {one.figure for one in gather(reads_of(case)).values} >= {"ecc_mm", "oval_amp_mm"}


def test_many_subjects_and_reading_results_anew_keep_the_last_word_of_each(case, armand):
    first = samples.reading(case, by=armand)
    for place in range(40):
        repeat(first, 1, subject=f"wheel {place}")
    anew = Result.objects.create(
        reading=first, version="by hand", output={}, computed_at=timezone.now()
    )
    Verdict.objects.create(result=anew, figure="ecc_mm", value=0.0, u=0.1, word="doubtful")

    found = [read.output for read in reads_of(case)]

    assert len(found) == 41 and found.count({}) == 1
    case.readings.exclude(pk=first.pk).update(withdrawn_at=timezone.now())
    assert [read.output for read in reads_of(case)] == [{}]


def test_what_still_fails_is_told_of_1500_readings_with_as_many_questions_as_of_one(case, armand):
    first = samples.reading(case, by=armand, round=1)
    before = asked(lambda: rounds(case))

    repeat(first, 1499, round=2)

    assert asked(lambda: rounds(case)) == before
    one, two = rounds(case)
    assert (one.number, one.readings, two.number, two.readings) == (1, 1, 2, 1499)
    assert len(two.fails) == 1499 * len(one.fails) > 0


def test_a_keyboard_of_sixty_keys_is_kept_and_shown_like_one_of_seven(client, armand, case):
    client.force_login(armand)
    samples.reading(case, by=armand, gauge="correction", words=keyboard(7))

    def keep(count: int) -> Reading:
        words = keyboard(count)
        return samples.reading(case, by=armand, gauge="correction", words=words)

    seven = asked(lambda: keep(7))
    sixty = asked(lambda: keep(60))
    last = case.readings.order_by("-number")[0]
    small = case.readings.order_by("number")[0]
    client.get(small.get_absolute_url())

    # SQLite takes about a hundred rows at once: one question more for the verdicts, one for advice.
    assert sixty <= seven + 4
    assert Verdict.objects.filter(result__reading=last).count() >= 120
    assert Prescription.objects.filter(result__reading=last).count() >= 100
    shown = [asked(partial(client.get, row.get_absolute_url())) for row in (last, small)]
    # Two readings came before the last one, and none before the first: its three are not asked for.
    assert shown[0] <= shown[1] + 3
