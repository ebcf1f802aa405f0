"""Two people do anything to one case at the same moment: both end, or one is told no."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import combinations_with_replacement

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from repairs.audit.actions import chain_faults
from repairs.cases.models import Case
from repairs.people.models import User
from repairs.press import actions as press
from tests import factories
from tests.beside import shared_database
from tests.cases import verbs
from tests.hands import AtOnce, blank, two_hands

pytestmark = pytest.mark.django_db(transaction=True)

PAIRS = list(combinations_with_replacement(verbs.RACED, 2))
# Every verb meets a third of the others in each.
PLACES = {verb: place for place, verb in enumerate(verbs.RACED)}
THIRDS = [
    [pair for pair in PAIRS if sum(PLACES[verb] for verb in pair) % 3 == third]
    for third in range(3)
]
LEADS_S = (0.0, 0.002, -0.002)  # by how much the first is ahead of the second


@pytest.fixture
def shop(helene, armand, tmp_path, monkeypatch) -> Iterator[Case]:
    """A case with one of everything; its papers are compiled, and printed as one blank sheet."""
    factories.billing_house()
    owner = factories.payer(by=helene)
    case = factories.looked_over(
        factories.case(factories.instrument(owner, by=helene), by=armand), by=armand
    )
    factories.photo(case, by=armand)
    factories.finding(case, by=armand)
    factories.examination(case, by=armand)
    factories.issued(factories.draft(owner, case=case, by=helene), by=helene)
    monkeypatch.setattr(press, "render", blank)
    factories.piece(by=armand, length_mm=9000, width_mm=900, thickness_mm=90)
    factories.estimate(case, by=armand)
    work = factories.begun_work(verbs.agreed(case, helene), by=armand)
    verbs.remove_part(work.case, armand)()
    with shared_database(tmp_path):
        yield case


@pytest.fixture
def two(shop: Case) -> Iterator[AtOnce]:
    with two_hands() as at_once:
        yield at_once


@pytest.mark.share(3)
@pytest.mark.parametrize("third", range(3))
def test_any_two_verbs_at_once_on_one_case_end_by_success_or_by_a_refusal(
    shop: Case, two: AtOnce, helene: User, armand: User, third: int
):
    faults, done = [], set()
    for place, pair in enumerate(THIRDS[third]):
        # By turn in both orders: who is prepared first, and by whom, should not matter either.
        first, second = pair[:: -1 if place % 2 else 1]
        lead_s = LEADS_S[place % len(LEADS_S)]
        case = verbs.again(shop)
        one = verbs.VERBS[first](case, armand)
        said = two(one, verbs.VERBS[second](verbs.fresh(case), helene), lead_s)
        done |= {name for name, end in zip((first, second), said, strict=True) if end == "done"}
        faults += [(first, second, end) for end in said if end.startswith("FAULT")]
        if Case.objects.exclude(ended_at=None).exclude(waits_for="").exists():
            faults.append((first, second, "what has ended waits"))

    assert faults == []
    assert done == set(verbs.RACED)
    assert list(chain_faults()) == []


HOLDS_THE_CASE = 'FROM "repairs_case"'
LOCKS = re.compile(r"^(SELECT .* FOR (NO KEY )?UPDATE|INSERT INTO|UPDATE|DELETE FROM)", re.DOTALL)


# Rows of money name the case, whose key nobody changes, and change nothing of it.
ABOUT_MONEY = {"draft_invoice", "note_payment"}


def test_a_verb_holds_the_case_before_it_locks_or_writes_anything_of_it(shop: Case, armand: User):
    if connection.vendor != "postgresql":
        pytest.skip("SQLite has one writer at a time and no locks of rows")

    first = {
        name: first_lock(shop, armand, name) for name in verbs.VERBS if name not in ABOUT_MONEY
    }

    assert {name: sql for name, sql in first.items() if HOLDS_THE_CASE not in sql} == {}


def first_lock(shop: Case, by: User, name: str) -> str:
    deed = verbs.VERBS[name](verbs.again(shop), by)
    with CaptureQueriesContext(connection) as queries:
        deed()
    said = (found["sql"] for found in queries)
    return next((sql for sql in said if LOCKS.match(sql)), "")
