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
PATIENCE_S = 20


class Judge:
    controls = 5

    def __init__(self, task: Path) -> None:
        self.task = task
        said = json.loads(task.read_text())
        self.mutants: list[dict[str, Any]] = said["mutants"]
        self.wanted = {test for mutant in self.mutants for test in mutant["tests"]}

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = [item for item in items if item.nodeid in self.wanted]

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        items = {item.nodeid: item for item in session.items}
        _warm_up(session)
        verdicts = []
        _check_innocent(self.mutants[: self.controls], items)
        for mutant in self.mutants:
            tests = [items[test] for test in mutant["tests"] if test in items]
            verdict = _judge(mutant, tests)
            verdicts.append({**mutant, "verdict": verdict, "tests": len(tests)})
            self.task.with_suffix(".out").write_text(json.dumps(verdicts))
        return True


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


def _check_innocent(mutants: Sequence[Mapping[str, Any]], items: Mapping[str, pytest.Item]) -> None:
    """Without any change the same tests must find nothing, or their verdicts mean nothing."""
    for mutant in mutants:
        tests = [items[test] for test in mutant["tests"] if test in items]
        if _judge({**mutant, "place": None}, tests) != SURVIVED:
            raise pytest.UsageError(
                f"Tests of {mutant['file']}:{mutant['line']} fail by themselves."
            )


def _run(item: pytest.Item, following: pytest.Item | None) -> None:
    item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)


def _judge(mutant: Mapping[str, Any], tests: Sequence[pytest.Item]) -> str:
    copy = os.fork()
    if copy == 0:
        _try(mutant, tests)
    _copy, status = os.waitpid(copy, 0)
    if os.WIFSIGNALED(status):
        return TIMED_OUT if os.WTERMSIG(status) == signal.SIGALRM else KILLED
    return SURVIVED if os.WEXITSTATUS(status) == 0 else KILLED


def _try(mutant: Mapping[str, Any], tests: Sequence[pytest.Item]) -> None:
    """In the copy: never returns. Exit code 0 says that no test noticed."""
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 1)
    os.dup2(silence, 2)
    signal.alarm(int(PATIENCE_S + 4 * mutant["took_s"]))
    try:
        if mutant["place"] is not None:
            swap(HOUSE / mutant["file"], mutant["place"])
        for item, following in zip(tests, [*tests[1:], tests[0]], strict=True):
            _run(item, following)
            if item.session.testsfailed:
                os._exit(1)
    except BaseException:  # whatever it was, the mutant did not go unseen
        os._exit(1)
    os._exit(0)


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
