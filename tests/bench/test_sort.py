"""The bench shows every open case on exactly one heap, the most pressing first."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest
from django.urls import reverse

from repairs.bench.board import board
from repairs.cases.models import Case
from tests import factories

TODAY = dt.date(2026, 11, 25)


def days(number: int) -> dt.date:
    return TODAY + dt.timedelta(days=number)


def heaps() -> dict[str, list[str]]:
    return {column.key: [case.number for case in column.cases] for column in board(TODAY)}


def heap_of(case: Case) -> str:
    return next(key for key, numbers in heaps().items() if case.number in numbers)


@pytest.mark.parametrize(
    ("fields", "heap"),
    [
        ({"promised_on": days(-1)}, "late"),
        ({"promised_on": days(-1), "step": "on_bench"}, "late"),
        ({"promised_on": days(-1), "waits_for": "owner"}, "late"),
        ({"promised_on": days(0)}, "soon"),
        ({"promised_on": days(14), "step": "agreed"}, "soon"),
        ({"promised_on": days(15)}, "look"),
        ({"promised_on": None}, "look"),
        ({"promised_on": days(15), "step": "looked_over"}, "on"),
        ({"promised_on": None, "step": "proved"}, "on"),
        ({"promised_on": days(3), "waits_for": "glue"}, "waiting"),
        ({"promised_on": None, "waits_for": "season", "step": "on_bench"}, "waiting"),
    ],
)
def test_a_case_lies_on_the_heap_of_what_presses_most(vielle, armand, fields, heap):
    case = factories.case(vielle, by=armand)
    Case.objects.filter(pk=case.pk).update(**fields)

    assert heap_of(case) == heap


def test_every_open_case_lies_on_exactly_one_heap(vielle, armand):
    situations: list[dict[str, Any]] = [
        {"promised_on": day, "waits_for": waits, "step": step}
        for day in (None, days(-3), days(3), days(300))
        for waits in ("", "part")
        for step in ("taken_in", "on_bench")
    ]
    for fields in situations:
        factories.case(vielle, by=armand, **fields)

    lying = [number for numbers in heaps().values() for number in numbers]

    assert sorted(lying) == sorted(Case.objects.values_list("number", flat=True))
    assert len(lying) == len(situations)


def test_what_has_ended_is_on_no_heap(case):
    Case.objects.update(ended_at=dt.datetime(2026, 11, 24, tzinfo=dt.UTC), step="handed_back")

    assert not any(heaps().values())


def test_the_earliest_promise_lies_on_top_and_none_at_the_bottom(vielle, armand):
    for day in (None, days(60), days(40), days(50)):
        factories.case(vielle, by=armand, promised_on=day)

    assert heaps()["look"] == ["2026-003", "2026-004", "2026-002", "2026-001"]


def test_the_bench_says_of_an_empty_heap_that_it_is_empty(client, tom):
    client.force_login(tom)

    page = client.get(reverse("bench:home")).text

    for words in ("Nothing is late.", "Everything has been looked over.", "Nothing waits"):
        assert words in page


def test_the_bench_shows_case_instrument_owner_and_promise(client, tom, case):
    client.force_login(tom)

    page = client.get(reverse("bench:home")).text

    assert "2026-001" in page
    assert "Étienne Roussillat" in page
    assert "Garance Ollivant" in page
    assert "18 Dec." in page
    assert case.get_absolute_url() in page


@pytest.mark.parametrize(("role", "shown"), [("luthier", True), ("apprentice", False)])
def test_only_who_may_take_in_sees_the_button_for_it(client, db, role, shown):
    client.force_login(factories.person("basile", role))

    page = client.get(reverse("bench:home")).text

    assert ("Take an instrument in" in page) is shown


@pytest.mark.parametrize(
    ("language", "one", "two"),
    [
        ("en", "1 case promised by then waits", "2 cases promised by then wait"),
        pytest.param(
            "fr",
            "1 dossier promis d’ici là est en attente",
            "2 dossiers promis d’ici là sont en attente",
            id="fr",
        ),
    ],
)
def test_the_heap_of_near_days_tells_of_what_is_promised_by_then_and_waits(
    client, vielle, armand, today, language, one, two
):
    reader = factories.person("basile", "reader", language)
    client.force_login(reader)
    nothing = {"en": "Nothing is due soon.", "fr": "Aucune échéance proche."}[language]
    case = factories.case(vielle, by=armand, promised_on=today + dt.timedelta(days=14))
    Case.objects.filter(pk=case.pk).update(waits_for="part")

    page = client.get(reverse("bench:home")).text

    assert one in page
    assert nothing not in page
    assert heading(page, language) == 1
    later = factories.case(vielle, by=armand, promised_on=today)
    far = factories.case(vielle, by=armand, promised_on=today + dt.timedelta(days=15))
    Case.objects.filter(pk__in=[later.pk, far.pk]).update(waits_for="owner")
    page = client.get(reverse("bench:home")).text
    assert two in page
    assert heading(page, language) == 2


SOON = {"en": "Promised within two weeks", "fr": "Promis sous quinze jours"}


def heading(page: str, language: str) -> int:
    """How many cases the heading of the near days counts."""
    found = re.search(rf'{SOON[language]}</h2>\s*<span class="fig">(\d+)<', page)
    assert found is not None
    return int(found[1])


def test_the_heading_counts_what_waits_with_what_goes_on(vielle, armand):
    for fields in ({}, {"waits_for": "part"}, {"waits_for": "owner"}):
        factories.case(vielle, by=armand, promised_on=days(7), **fields)
    soon = next(column for column in board(TODAY) if column.key == "soon")

    assert (len(soon.cases), soon.waiting, soon.count) == (1, 2, 3)
