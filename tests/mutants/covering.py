"""Which tests reach which line of the rooms: a pytest plugin that keeps it in one file a process.

Started by ``tests.mutants.run``; the file tells, for each test, how long it took, and for each
line the tests that ran it.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator
from pathlib import Path

import coverage
import pytest

from tests.mutants.draw import ROOMS

FOLDER = "SAUTEREAU_MUTANTS"


class Cover:
    def __init__(self, folder: Path, name: str) -> None:
        self.file = folder / f"cover-{name}.json"
        self.took_s: dict[str, float] = {}
        self.failed: set[str] = set()
        self.coverage = coverage.Coverage(
            data_file=None, include=list(_watched()), config_file=False, messages=False
        )

    def pytest_sessionstart(self) -> None:
        self.coverage.start()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self.coverage.switch_context(item.nodeid)
        try:
            return (yield)
        finally:
            self.coverage.switch_context("")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.failed.add(report.nodeid)
        if report.when != "setup" or self.took_s:  # the first one sets the session up
            known = self.took_s.get(report.nodeid, 0.0)
            self.took_s[report.nodeid] = round(known + report.duration, 4)

    def pytest_sessionfinish(self) -> None:
        self.coverage.stop()
        data = self.coverage.get_data()
        lines = {
            file: {line: self._judges(tests) for line, tests in reached.items()}
            for file in data.measured_files()
            if (reached := data.contexts_by_lineno(file))
        }
        self.file.write_text(json.dumps({"took_s": self.took_s, "lines": lines}))

    def _judges(self, tests: Iterable[str]) -> list[str]:
        """A test that fails by itself is no judge."""
        return [one for one in tests if one and one not in self.failed]


def _watched() -> Iterator[str]:
    """The modules that are changed, and no others: to watch a module costs time."""
    for part in {part for parts in ROOMS.values() for part in parts}:
        yield f"*/repairs/{part}" if part.endswith(".py") else f"*/repairs/{part}/*"


def pytest_configure(config: pytest.Config) -> None:
    worker = getattr(config, "workerinput", {}).get("workerid")
    if worker is None and config.option.numprocesses:
        return  # the controller runs no test
    config.pluginmanager.register(Cover(Path(os.environ[FOLDER]), worker or "one"), "cover")
