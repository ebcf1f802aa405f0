"""Two processes at once, on whichever database the tests run: one of them is told no."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack

import pytest

from repairs.audit.actions import chain_faults
from repairs.treatment.models import SignOff, WorkSpell
from repairs.treatment.part_models import NewPart
from repairs.wood.models import Withdrawal
from tests import factories
from tests.beside import beside, shared_database

pytestmark = pytest.mark.django_db(transaction=True)

Race = Callable[..., list[str]]


@pytest.fixture
def race(tmp_path) -> Iterator[Race]:
    """Let processes run the same verb at the same moment; return what each said."""
    with shared_database(tmp_path) as address, ExitStack() as stack:

        def run(verb: str, *runners: tuple[object, ...]) -> list[str]:
            runs = [
                stack.enter_context(
                    beside(
                        f"tests.treatment.racing:{verb}",
                        *(str(word) for word in words),
                        database=address,
                        folder=tmp_path,
                    )
                )
                for words in runners
            ]
            for one in runs:
                assert one.hear() == "ready"
            for one in runs:
                one.go()
            return sorted(one.end() for one in runs)

        yield run


def test_one_person_never_runs_two_clocks(work, armand, race):
    other = factories.begun_work(factories.agreed_work(work.case, "free", by=armand), by=armand)

    said = race("start", ("armand", work.pk), ("armand", other.pk))

    assert said == ["ClockError", "done"]
    assert WorkSpell.objects.filter(ended_at=None).count() == 1
    assert list(chain_faults()) == []


def test_two_luthiers_each_run_their_own_clock_on_the_same_work(work, helene, race):
    said = race("start", ("armand", work.pk), ("helene", work.pk))

    assert said == ["done", "done"]
    assert WorkSpell.objects.filter(ended_at=None).count() == 2


def test_the_same_work_is_not_begun_by_two_at_once(agreed, helene, race):
    said = race("begin", ("armand", agreed.pk), ("helene", agreed.pk))

    assert said == ["NotAgreedError", "done"]


def test_the_same_work_is_not_signed_off_twice(plain_work, helene, race):
    said = race("sign", ("armand", plain_work.pk), ("helene", plain_work.pk))

    assert said == ["WorkClosedError", "done"]
    assert SignOff.objects.count() == 1


def test_two_never_cut_more_than_there_is_from_one_board(plain_work, board, helene, race):
    said = race("cut", ("armand", plain_work.pk, board.pk), ("helene", plain_work.pk, board.pk))

    assert said == ["NotEnoughWoodError", "done"]
    assert (NewPart.objects.count(), Withdrawal.objects.count()) == (1, 1)
