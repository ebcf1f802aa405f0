"""Long sets run a share in each run, chosen by the commit; ``--whole`` runs all of them.

A function marked ``@pytest.mark.share(3)`` runs one in three of its cases. Which ones follows from
the number of commits behind the present one, so that three commits in a row run them all; outside
of a repository all run. A second figure moves a set by so many commits, that not all long ones
fall on the same. Whoever names a file or a test gets all of it.
"""

from __future__ import annotations

import subprocess
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[1]


def pytest_addoption(parser: pytest.Parser) -> None:
    help_text = "the long sets whole, not the share that the commit chooses"
    parser.getgroup("sautereau").addoption("--whole", action="store_true", help=help_text)


def pytest_configure(config: pytest.Config) -> None:
    config.pluginmanager.register(Shares(config), "shares")


class Shares:
    """What this run takes of the long sets; the processes of one run take the same."""

    def __init__(self, config: pytest.Config) -> None:
        known = getattr(config, "workerinput", None)
        self.turn: int | None = known["turn"] if known else _turn(config)
        self.ran = self.all = 0

    @pytest.hookimpl(optionalhook=True)
    def pytest_configure_node(self, node: Any) -> None:
        node.workerinput["turn"] = self.turn

    def pytest_collection_modifyitems(
        self, config: pytest.Config, items: list[pytest.Item]
    ) -> None:
        places: Counter[str] = Counter()
        kept = []
        for item in items:
            function = item.nodeid.partition("[")[0]
            if is_kept(item, places[function], self.turn):
                kept.append(item)
            places[function] += 1
        long = [item for item in items if item.get_closest_marker("share")]
        left = set(items) - set(kept)
        self.all, self.ran = len(long), len(long) - len(left)
        config.hook.pytest_deselected(items=list(left))
        items[:] = kept

    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        output = getattr(session.config, "workeroutput", None)
        if output is not None:
            output["shares"] = (self.ran, self.all)

    @pytest.hookimpl(optionalhook=True)
    def pytest_testnodedown(self, node: Any) -> None:
        self.ran, self.all = getattr(node, "workeroutput", {}).get("shares", (self.ran, self.all))

    def pytest_terminal_summary(self, terminalreporter: Any) -> None:
        if self.all:
            how = "whole" if self.turn is None else f"the share of commit {self.turn}"
            terminalreporter.write_line(f"{self.ran} of {self.all} cases of the long sets ({how})")


def is_kept(item: pytest.Item, place: int, turn: int | None) -> bool:
    """Whether the case at that place of its function runs in that turn."""
    marker = item.get_closest_marker("share")
    if marker is None or turn is None:
        return True
    one_in, *offset = marker.args
    return (place + turn + sum(offset)) % one_in == 0


def _turn(config: pytest.Config) -> int | None:
    """The number by which the shares are chosen; None when all shall run."""
    chosen = any(config.getoption(name) for name in ("whole", "quick", "record_quick"))
    if chosen or config.args_source is pytest.Config.ArgsSource.ARGS:
        return None
    return commits()


def commits() -> int | None:
    """How many commits there are up to the present one; None outside of a repository."""
    asked = ["git", "-C", str(ROOT), "rev-list", "--count", "HEAD"]
    try:
        said = subprocess.run(asked, capture_output=True, text=True, check=False)
    except OSError:
        return None
    return int(said.stdout) if said.returncode == 0 else None
