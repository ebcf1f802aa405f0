"""Which functions of the app the tests run; the short list for the inner loop; both counts.

``--quick`` runs the tests of ``tests/quick.txt`` only, chosen for what they reach in little time.
The list also names, behind a ``#``, the files of which nothing was chosen; of a file that it does
not know at all the first test runs, so that a new one is not left out.
It states which share of the app's functions ran, and fails below the share that was promised.
``--record-quick`` measures every test that runs and writes that list anew.
"""

from __future__ import annotations

import ast
import functools
import sys
import threading
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[1]
LIST = ROOT / "tests" / "quick.txt"
PROMISED_PCT = 80.0
WANTED_PCT = 85.0  # of the list when it is written: a margin for what changes afterwards
LONG = ("browser", "slow", "real_press")
Function = tuple[str, int]  # file below the root, first line


def functions_of_the_app() -> set[Function]:
    """All that are written with ``def``, but for migrations, which run in no test of their own,
    and measures, which are run by command."""
    found: set[Function] = set()
    for package in ("repairs", "workshop"):
        for file in (ROOT / package).rglob("*.py"):
            name = str(file.relative_to(ROOT))
            if not name.startswith(("repairs/migrations/", "repairs/measures/")):
                found |= {(name, line) for line in _lines(ast.parse(file.read_text("utf-8")))}
    return found


def _lines(tree: ast.Module) -> Iterator[int]:
    """First lines as the interpreter counts them: a decorator belongs to its function."""
    for node in ast.walk(tree):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            yield min([node.lineno, *(one.lineno for one in node.decorator_list)])


class Reach:
    """Notes each function that is called, for every test by itself."""

    def __init__(self) -> None:
        self.by_test: dict[str, tuple[float, list[Function]]] = {}
        self.seen: set[CodeType] = set()

    def profile(self, frame: FrameType, event: str, _argument: Any) -> None:
        if event == "call":
            self.seen.add(frame.f_code)

    @pytest.hookimpl(wrapper=True, tryfirst=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self.seen = set()
        since = time.process_time()
        threading.setprofile(self.profile)
        sys.setprofile(self.profile)
        try:
            return (yield)
        finally:
            sys.setprofile(None)
            threading.setprofile(None)
            took = time.process_time() - since
            self.by_test[item.nodeid.partition("@")[0]] = (took, sorted(set(ours(self.seen))))

    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        output = getattr(session.config, "workeroutput", None)
        if output is not None:
            output["reach"] = self.by_test

    @pytest.hookimpl(optionalhook=True)
    def pytest_testnodedown(self, node: Any) -> None:
        self.by_test |= getattr(node, "workeroutput", {}).get("reach", {})


def ours(codes: Iterable[CodeType]) -> Iterator[Function]:
    root = f"{ROOT}/"
    for code in codes:
        if code.co_filename.startswith(root):
            yield code.co_filename.removeprefix(root), code.co_firstlineno


def share_pct(by_test: dict[str, tuple[float, list[Function]]]) -> float:
    app = functions_of_the_app()
    ran = {tuple(one) for _took, reached in by_test.values() for one in reached}
    return 100 * len(app & ran) / len(app)


def cheapest(by_test: dict[str, tuple[float, list[Function]]], wanted_pct: float) -> list[str]:
    """Tests that together reach so much of the app, each time the one that adds most a second."""
    app = functions_of_the_app()
    left = {name: (took, app & {tuple(f) for f in fs}) for name, (took, fs) in by_test.items()}
    reached: set[Function] = set()
    chosen = []
    while left and 100 * len(reached) < wanted_pct * len(app):
        left = {name: (took, fs - reached) for name, (took, fs) in left.items()}
        best = max(left, key=lambda name: len(left[name][1]) / (left[name][0] + 0.02))
        if not left[best][1]:
            break
        chosen.append(best)
        reached |= left.pop(best)[1]
    return sorted(chosen)


def written_list(by_test: dict[str, tuple[float, list[Function]]]) -> list[str]:
    chosen = cheapest(by_test, WANTED_PCT)
    known = {name.partition("::")[0] for name in chosen}
    others = {name.partition("::")[0] for name in by_test} - known
    return [*chosen, *(f"# {name}" for name in sorted(others))]


# What pytest asks -------------------------------------------------------------------------------


def pytest_addoption(parser: pytest.Parser) -> None:
    group = parser.getgroup("sautereau")
    group.addoption("--quick", action="store_true", help="only the tests of tests/quick.txt")
    group.addoption("--record-quick", action="store_true", help="write tests/quick.txt anew")


def pytest_configure(config: pytest.Config) -> None:
    if config.getoption("quick") or config.getoption("record_quick"):
        config.pluginmanager.register(Reach(), "reach")


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """A file of which nothing was chosen need not even be read."""
    if not config.getoption("quick") or not collection_path.is_relative_to(ROOT):
        return None
    return f"# {collection_path.relative_to(ROOT)}" in _listed() or None


@functools.cache
def _listed() -> frozenset[str]:
    return frozenset(LIST.read_text("utf-8").splitlines())


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("record_quick"):
        _keep(config, items, [item for item in items if _is_short(item)])
    elif config.getoption("quick"):
        listed = _listed()
        known = {name.removeprefix("# ").partition("::")[0] for name in listed}
        kept = []
        for item in items:
            file = item.nodeid.partition("::")[0]
            if item.nodeid in listed or (file not in known and _is_short(item)):
                known.add(file)
                kept.append(item)
        _keep(config, items, kept)


def _is_short(item: pytest.Item) -> bool:
    return not any(item.get_closest_marker(name) for name in LONG)


def _keep(config: pytest.Config, items: list[pytest.Item], kept: list[pytest.Item]) -> None:
    those = set(kept)
    config.hook.pytest_deselected(items=[item for item in items if item not in those])
    items[:] = kept


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """Fail when the short list reaches less than was promised: it must be written anew."""
    reach = session.config.pluginmanager.get_plugin("reach")
    if reach is None or hasattr(session.config, "workeroutput"):
        return
    if session.config.getoption("record_quick"):
        LIST.write_text("\n".join(written_list(reach.by_test)) + "\n", "utf-8")
    elif session.config.args_source.name != "ARGS" and share_pct(reach.by_test) < PROMISED_PCT:
        session.exitstatus = session.exitstatus or pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    reports = [
        one
        for group in ("passed", "failed", "xfailed", "skipped", "error")
        for one in terminalreporter.stats.get(group, [])
    ]
    if not reports:
        return
    cases = {one.nodeid.partition("@")[0] for one in reports}
    functions = {name.partition("[")[0] for name in cases}
    terminalreporter.write_line(f"{len(functions)} test functions in {len(cases)} cases")
    reach = config.pluginmanager.get_plugin("reach")
    if reach is not None:
        took = sum(seconds for seconds, _reached in reach.by_test.values())
        terminalreporter.write_line(
            f"{share_pct(reach.by_test):.1f} % of the app’s functions ran (promised: "
            f"{PROMISED_PCT:.0f} %), {took:.0f} s of one core"
        )
