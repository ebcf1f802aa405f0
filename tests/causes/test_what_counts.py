"""“It was this” is counted once the stay has ended, and shown beside each cause."""

from __future__ import annotations

import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.causes.models import WhatItWas
from repairs.causes.practice import known_from_closed
from repairs.gauges.causes.counts import Counts
from tests import factories
from tests.causes.saying import LIP, OFF, another, closed, page, say

pytestmark = pytest.mark.django_db


@pytest.fixture
def stay(client, armand, case) -> Case:
    client.force_login(armand)
    return case


def test_only_closed_cases_of_that_kind_count_by_their_last_word(stay, armand):
    def counts(cause: str) -> Counts:
        return known_from_closed(stay).practice.of(cause)

    same, violin = another(stay, by=armand), another(stay, by=armand, kind="violin")
    first = say(same, OFF, by=armand, heard=frozenset({"swells_once"}))
    assert counts(OFF) == Counts(0, 0)  # still open
    say(same, LIP, by=armand, known=first.pk, heard=frozenset({"tick_once"}))
    say(violin, "v_peg_dry", by=armand)
    closed(same)
    closed(violin)

    assert (counts(OFF), counts(LIP)) == (Counts(0, 1), Counts(1, 1))
    assert known_from_closed(stay).practice.heard(LIP) == {"tick_once": Counts(1, 1)}
    say(stay, OFF, by=armand)
    assert counts(OFF) == Counts(0, 1)  # never its own


@pytest.mark.parametrize(
    ("language", "prior", "heard", "earlier", "how"),
    [
        ("en", "prior from practice 4.5 %, of 2 confirmed cases here: 2; together 13.2 %",
         "was heard in 1 of 1 of them that were asked",
         "At stay {number} it was: wheel out of centre on its axle.",
         "2 closed cases of this kind"),
        ("fr", "au départ, selon la pratique, 4,5 % ; sur 2 cas confirmés ici : 2",
         "entendu dans 1 de ces cas, sur 1",
         "Lors du séjour {number}, c’était : roue excentrée sur son axe.",
         "2 cas clos de ce type"),
    ],
)  # fmt: skip
def test_a_second_stay_sees_what_was_confirmed_and_each_cause_shows_its_counts(
    client, stay, armand, language, prior, heard, earlier, how
):
    say(stay, OFF, by=armand, heard=frozenset({"swells_once"}))
    closed(stay)
    other = another(stay, by=armand)
    say(other, OFF, by=armand)
    closed(other)
    again = factories.case(stay.instrument, by=armand)
    armand.language = language
    armand.save()

    said = page(client, again, symptom="swells_once").replace("&#x27;", "’")

    assert prior in said and heard in said and how in said
    assert earlier.format(number=stay.number) in said
    assert other.number not in said


def test_counts_reach_the_order_on_the_page(client, stay, armand):
    def first() -> str:
        answer = client.get(
            reverse("readings:diagnosis", args=[stay.number]), {"symptom": "peg_slips"}
        )
        key: str = answer.context["found"].likely[0].key
        return key

    before = first()
    for _number in range(6):
        other = another(stay, by=armand)
        say(other, "string_wound_badly", by=armand, heard=frozenset({"peg_slips"}))
        closed(other)

    assert before != "string_wound_badly" == first()


def test_the_page_asks_the_same_for_thirty_closed_cases_as_for_one(client, stay, armand):
    asked = []
    for more in (1, 29):
        for _number in range(more):
            case = closed(factories.case(stay.instrument, by=armand))
            WhatItWas.objects.create(
                case=case, causes=[OFF], heard=["swells_once"], denied=[], version="causes 2",
                at=timezone.now(), by=armand, tap=uuid.uuid4(),
            )  # fmt: skip
        with CaptureQueriesContext(connection) as queries:
            page(client, stay, symptom="swells_once")
        asked.append(len(queries))

    assert asked[0] == asked[1] <= 12
