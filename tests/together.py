"""Tests of one class run in one process, for a class sets up once for all of them.

``--dist loadgroup`` would do it by a mark, but pytest-xdist 3.8.0 writes the group into a name that
pytest 9.2 no longer reads: the demo was then played in each process anew.
"""

from __future__ import annotations

from typing import Any

import pytest
from xdist.scheduler import LoadScopeScheduling  # type: ignore[import-untyped]


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> LoadScopeScheduling | None:
    return ByClass(config, log) if config.getvalue("dist") == "loadgroup" else None


class ByClass(LoadScopeScheduling):  # type: ignore[misc]
    """Deals out single tests, and those of a class together."""

    def _split_scope(self, nodeid: str) -> str:
        return scope_of(nodeid)


def scope_of(nodeid: str) -> str:
    """The class of a test, if it stands in one; else the test itself."""
    name, _bracket, _params = nodeid.partition("[")
    return name.rpartition("::")[0] if name.count("::") > 1 else nodeid
