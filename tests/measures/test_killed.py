"""Processes that are killed, disks that fill, logs that are torn: nothing told is lost or half.

A handful of each kind here; ``manage.py measure faults`` tries more than a thousand.
"""

from __future__ import annotations

import json
import os
import time
from random import Random

import pytest

from repairs.measures.faults import KILLS, OTHERS, WRONGS, sums, told
from repairs.measures.killed.hand import BEGINS, DONE, Say, Tempo, helpers_of, struck
from tests.beside import beside, shared_database

QUICK = {kind: few for kind, (_many, few) in (KILLS | OTHERS).items() if few}


@pytest.mark.slow
@pytest.mark.share(16)
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(("kind", "count"), QUICK.items())
def test_what_was_told_stands_and_nothing_is_half(tmp_path, kind: str, count: int):
    words = (kind, str(count), "of the suite")
    with shared_database(tmp_path) as address:
        place = "tests.measures.killing:kill_some"
        with beside(place, *words, database=address, folder=tmp_path / "house") as hand:
            hand.hear()
            hand.go()
            found = json.loads(hand.end().splitlines()[-1])

    assert {one: found.get(one, 0) for one in WRONGS} == dict.fromkeys(WRONGS, 0), found["told"]
    assert found["kills"] >= count or kind == "torn"  # of SQLite alone


def _count_on(say: Say, mark: str) -> None:
    say(BEGINS, mark)
    time.sleep(0.01)
    say(DONE, "302 /")


def _stumble(_say: Say, _mark: str) -> None:
    raise RuntimeError("the lamp went out")


def test_a_killed_process_is_heard_to_its_last_word(db):
    chance, tempo, found = Random(1), Tempo(), []  # noqa: S311 - moments
    for number in range(6):
        found.append(struck(_count_on, str(number), chance, tempo))

    assert tempo.usual_s >= 0.01
    for one in found:
        done = [mark for mark, answer in one.acknowledged if answer == "302 /"]
        assert done == [f"{done[0][0]}-{place}" for place in range(len(done))] if done else True
        assert one.trouble == []
    assert any(one.in_flight for one in found)


def test_a_process_that_stumbles_by_itself_is_no_kill(db):
    (trouble,) = struck(_stumble, "", Random(1), Tempo()).trouble  # noqa: S311 - a moment

    assert "the lamp went out" in trouble


def test_only_processes_of_our_own_are_asked_for():
    with pytest.raises(ValueError, match="our own"):
        helpers_of(1)
    assert helpers_of(os.getpid()) == sorted(helpers_of(os.getpid()))


def test_whatever_is_wrong_misses_its_goal():
    good = {"kills": 3, "inside": 2, "acknowledged": 4, "told": []}
    bad = good | {"lost": 1, "told": ["lost: a photo"]}

    figures = sums({"wood": good, "disk": bad})

    assert (figures["kills"].value, figures["other_faults"].value) == (3, 3)
    assert {name for name, figure in figures.items() if figure.met is False} == {"lost"}
    assert {name for name, figure in figures.items() if figure.met} == set(WRONGS) - {"lost"}
    assert told(bad) == "3 tried, 1 lost"
