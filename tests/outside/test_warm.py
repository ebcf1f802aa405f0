"""A program kept warm answers what it was asked, or raises."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from tests.outside.warm import Warm

ECHO = """
import sys
for line in sys.stdin:
    number, word = line.rstrip("\\n").split("\\t")
    print(f"{word}\\nEND\\t{number}", flush=True)
"""
LATE = "import sys, time; sys.stdin.readline(); print('VERDICT', flush=True); time.sleep(60)"
HALF = "import sys; sys.stdin.readline(); print('VERDICT'); sys.exit('no memory left')"
DEAF = "import sys; sys.exit('no such program')"
STALE = "import sys; sys.stdin.readline(); print('VERDICT\\nEND\\t7', flush=True); input()"
LOUD = "import sys; sys.stderr.write('x' * 1_000_000); sys.stderr.flush()" + ECHO


@contextmanager
def warm(program: str) -> Iterator[Warm]:
    one = Warm([sys.executable, "-c", program])
    try:
        yield one
    finally:
        one.end()


def test_each_request_gets_its_own_answer():
    with warm(ECHO) as one:
        assert one.ask("first", timeout=30) == ["first"]
        assert one.ask("é\u2028second", timeout=30) == ["é\u2028second"]
        assert one.serves(one.command)
    assert not one.serves(one.command)


@pytest.mark.parametrize(
    ("program", "trouble"),
    [
        (LATE, "took more than 0.5 s"),
        (HALF, "ended without an answer, with exit code 1.\nno memory left"),
        (DEAF, "ended without an answer, with exit code 1.\nno such program"),
        (STALE, "answered another request: END\t7"),
    ],
    ids=["late", "half", "deaf", "stale"],
)
def test_half_an_answer_is_none_and_nobody_asks_it_again(program, trouble):
    with warm(program) as one:
        with pytest.raises(RuntimeError, match=trouble):
            one.ask("anything", timeout=0.5 if program is LATE else 30)

        assert not one.serves(one.command)


def test_what_it_complains_of_does_not_stop_it():
    with warm(LOUD) as one:
        assert one.ask("still here", timeout=30) == ["still here"]


def test_a_program_that_does_not_start_is_named():
    with pytest.raises(RuntimeError, match="sautereau-nowhere does not start"):
        Warm(["/sautereau-nowhere"])


def test_a_fork_neither_asks_nor_ends_what_belongs_to_another():
    with warm(ECHO) as one:
        copy = os.fork()
        if copy == 0:
            served = True
            try:
                served = one.serves(one.command)
                one.end()
            finally:
                os._exit(1 if served else 0)

        assert os.waitstatus_to_exitcode(os.waitpid(copy, 0)[1]) == 0
        assert one.ask("still here", timeout=30) == ["still here"]
