"""Two people do anything to one case at the same moment: both end, or one is told no."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from itertools import combinations_with_replacement
from threading import Barrier
from uuid import uuid4

import pytest
from django.db import connection, connections
from django.test.utils import CaptureQueriesContext

from repairs.audit.actions import chain_faults
from repairs.cases.models import Case
from repairs.language.refusal import WorkshopError
from repairs.people.models import User
from repairs.press import actions as press
from repairs.press.document import Sheet
from tests import factories
from tests.beside import shared_database
from tests.cases import verbs

pytestmark = pytest.mark.django_db(transaction=True)

PAIRS = list(combinations_with_replacement(verbs.RACED, 2))
LEADS_S = (0.0, 0.002, -0.002)  # by how much the first is ahead of the second


def blank(sheet: Sheet) -> tuple[bytes, int]:
    return f"%PDF-1.7 {uuid4()} {sheet.title}".encode(), 1


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
def two(shop: Case) -> Iterator[Callable[..., list[str]]]:
    """Two threads, each with its own connection to the test's database."""
    known, barrier = connection.settings_dict, Barrier(2)

    def connect() -> None:
        connections["default"] = type(connections["default"])({**known}, "default")

    def act(deed: verbs.Deed, wait_s: float) -> str:
        barrier.wait(20)
        time.sleep(max(0.0, wait_s))
        try:
            deed()
        except WorkshopError as refusal:
            return f"refused: {refusal}"
        except Exception as fault:
            return f"FAULT {type(fault).__name__}: {fault}"
        return "done"

    with ExitStack() as stack:
        hands = [
            stack.enter_context(ThreadPoolExecutor(1, initializer=connect)) for _hand in range(2)
        ]

        def at_once(first: verbs.Deed, second: verbs.Deed, lead_s: float) -> list[str]:
            waits = (-lead_s, lead_s)
            runs = [
                h.submit(act, d, w) for h, d, w in zip(hands, (first, second), waits, strict=True)
            ]
            return [run.result(60) for run in runs]

        yield at_once
        for hand in hands:
            hand.submit(lambda: connections["default"].close()).result(20)


def test_any_two_verbs_at_once_on_one_case_end_by_success_or_by_a_refusal(
    shop: Case, two, helene: User, armand: User
):
    faults, done = [], set()
    for place, pair in enumerate(PAIRS):
        # By turn in both orders: who is prepared first, and by whom, should not matter either.
        first, second = pair[:: -1 if place % 2 else 1]
        lead_s = LEADS_S[place % len(LEADS_S)]
        case = verbs.again(shop)
        deeds = [verbs.VERBS[first](case, armand), verbs.VERBS[second](verbs.fresh(case), helene)]
        said = two(*deeds, lead_s)
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
