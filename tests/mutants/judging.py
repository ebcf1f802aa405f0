"""Runs, for each mutant, the tests that reach its line: a pytest plugin that forks.

All is imported, collected and set up once. For each mutant a copy of the process swaps the code
of the changed function, runs the tests, the quickest first, and ends at the first that fails.
"""

from __future__ import annotations

import functools
import gc
import json
import os
import signal
import sys
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import pytest

from tests.mutants.draw import HOUSE, changed_tree

TASK = "SAUTEREAU_MUTANTS_TASK"
KILLED, SURVIVED, TIMED_OUT = "killed", "survived", "timed out"
UNCHANGED = "could not be changed"
PATIENCE_S = 20
NOT_MADE = 3  # exit code of a copy in which the change could not be made


class Judge:
    def __init__(self, task: Path) -> None:
        self.task = task
        said = json.loads(task.read_text())
        self.mutants: list[dict[str, Any]] = said["mutants"]
        self.wanted = {test for mutant in self.mutants for test in mutant["tests"]}
        self.sound: set[str] = set()  # tests that passed here, be it beside some mutant

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = [item for item in items if item.nodeid in self.wanted]

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        items = {item.nodeid: item for item in session.items}
        _warm_up(session)
        verdicts = []
        for mutant in self.mutants:
            tests = [items[test] for test in mutant["tests"] if test in items]
            verdict = self.verdict(mutant, tests)
            verdicts.append({**mutant, "verdict": verdict, "tests": len(tests)})
            self.task.with_suffix(".out").write_text(json.dumps(verdicts))
        return True

    def verdict(self, mutant: Mapping[str, Any], tests: Sequence[pytest.Item]) -> str:
        """What the tests say of it; a test that fails without any change as well is not heard."""
        while True:
            verdict, passed = _judge(mutant, tests)
            self.sound |= {test.nodeid for test in tests[:passed]}
            if verdict in (SURVIVED, UNCHANGED):
                return verdict
            if verdict == KILLED and tests[passed].nodeid in self.sound:
                return verdict
            without, passed = _judge({**mutant, "place": None}, tests[: passed + 1])
            self.sound |= {test.nodeid for test in tests[:passed]}
            if without == SURVIVED:
                return verdict
            tests = [*tests[:passed], *tests[passed + 1 :]]


def _warm_up(session: pytest.Session) -> None:
    """Run one test that uses the database, so that what belongs to the session is ready.

    The test that is said to follow is the farthest from it: so all is taken down again that not
    every test shares, or the first test of a copy would find the remains of another module.
    """
    slow = [item for item in session.items if "db" in getattr(item, "fixturenames", ())]
    first = next(iter(slow or session.items), None)
    if first is not None:
        chain = first.listchain()
        _run(first, min(session.items, key=lambda item: _shared(chain, item.listchain())))


def _shared(one: Sequence[object], other: Sequence[object]) -> int:
    return sum(1 for pair in zip(one, other, strict=False) if pair[0] is pair[1])


def _run(item: pytest.Item, following: pytest.Item | None) -> None:
    item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)


def _judge(mutant: Mapping[str, Any], tests: Sequence[pytest.Item]) -> tuple[str, int]:
    """The verdict, and how many tests passed before it."""
    told, tell = os.pipe()
    copy = os.fork()
    if copy == 0:
        _try(mutant, tests, tell)
    os.close(tell)
    _copy, status = os.waitpid(copy, 0)
    passed = _heard(told)
    if os.WIFSIGNALED(status):
        timed_out = os.WTERMSIG(status) == signal.SIGALRM
        return TIMED_OUT if timed_out else KILLED, min(passed, len(tests) - 1)
    if os.WEXITSTATUS(status) == NOT_MADE:
        return UNCHANGED, 0
    return KILLED if os.WEXITSTATUS(status) else SURVIVED, passed


def _heard(told: int) -> int:
    """How many signs lie in the pipe; what a test left running may hold its other end."""
    os.set_blocking(told, False)
    try:
        return len(os.read(told, 65536))
    except BlockingIOError:
        return 0
    finally:
        os.close(told)


def _try(mutant: Mapping[str, Any], tests: Sequence[pytest.Item], tell: int) -> None:
    """In the copy: never returns. Exit code 0 says that no test noticed."""
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 1)
    os.dup2(silence, 2)
    _change(mutant)
    signal.alarm(int(PATIENCE_S + 4 * mutant["took_s"]))
    try:
        for item, following in zip(tests, [*tests[1:], *tests[:1]], strict=True):
            _run(item, following)
            if item.session.testsfailed:
                os._exit(1)
            os.write(tell, b".")
    except BaseException:  # whatever it was, the mutant did not go unseen
        os._exit(1)
    os._exit(0)


def _change(mutant: Mapping[str, Any]) -> None:
    try:
        if mutant["place"] is not None:
            swap(HOUSE / mutant["file"], mutant["place"])
    except BaseException:
        os._exit(NOT_MADE)


def swap(file: Path, place: int) -> None:
    """Give every living function of that module the code it has with that place changed."""
    codes = dict(_codes(compile(changed_tree(file, place), str(file), "exec")))
    _forget()  # type() and not isinstance(): a lazy object would be woken by the question
    for one in gc.get_objects():
        if type(one) is not FunctionType or one.__code__.co_filename != str(file):
            continue
        new = codes.get((one.__code__.co_qualname, one.__code__.co_firstlineno))
        if new is not None and new.co_freevars == one.__code__.co_freevars:
            one.__code__ = new


def _codes(code: CodeType) -> Iterator[tuple[tuple[str, int], CodeType]]:
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield (constant.co_qualname, constant.co_firstlineno), constant
            yield from _codes(constant)


def _forget() -> None:
    """Empty what functions of the house remember, as it was said by the code before."""
    for one in gc.get_objects():
        if type(one) is functools._lru_cache_wrapper:
            module = getattr(one, "__module__", "") or ""
            if module.startswith("repairs."):
                one.cache_clear()


def pytest_configure(config: pytest.Config) -> None:
    sys.setswitchinterval(0.05)
    config.pluginmanager.register(Judge(Path(os.environ[TASK])), "judge")
