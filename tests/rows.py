"""``--rows``: of the suite what another database can answer otherwise; for PostgreSQL in CI.

The whole suite runs on SQLite. PostgreSQL differs in what a lock is, in what two at once see, in
search, order and constraints, and in what a wrong type is told; not in figures, templates, PDFs or
the browser. So of the tests that ask a database at all there run:

- each one outside a transaction (locks, races, jobs), every case of it;
- every case in the folders where the statement itself is the matter: the log, jobs, search,
  migrations, queries;
- the first case of every other function that works on rows by the verbs; its further cases change
  the words that are typed, hardly ever the statement;
- of pages not the tests of each, but the walks of ``tests/whole``, which ask every address.

Nothing is chosen by name: a new test falls under the rule by the fixtures that it uses.
"""

from __future__ import annotations

import pytest

STATEMENTS = (
    "tests/audit/",
    "tests/jobs/",
    "tests/bench/test_find",
    "tests/whole/test_migrations",
    "tests/whole/test_queries",
)
WALKS = "tests/whole/"
ELSEWHERE = ("browser", "slow", "real_press")


def pytest_addoption(parser: pytest.Parser) -> None:
    help_text = "only what another database can answer otherwise"
    parser.getgroup("sautereau").addoption("--rows", action="store_true", help=help_text)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if not config.getoption("rows"):
        return
    seen: set[str] = set()
    kept = [item for item in items if touches_rows(item, seen)]
    those = set(kept)
    config.hook.pytest_deselected(items=[item for item in items if item not in those])
    items[:] = kept


def touches_rows(item: pytest.Item, seen: set[str]) -> bool:
    """Whether the rule takes this test; ``seen`` holds the functions taken so far."""
    function = item.nodeid.partition("[")[0]
    fixtures = set(getattr(item, "fixturenames", ()))
    marker = item.get_closest_marker("django_db")
    if any(item.get_closest_marker(name) for name in ELSEWHERE):
        return False
    if "transactional_db" in fixtures or (marker and marker.kwargs.get("transaction")):
        return True
    if not (marker or "db" in fixtures or _is_djangos(item)):
        return False
    if function.startswith(STATEMENTS):
        return True
    first = function not in seen and ("client" not in fixtures or function.startswith(WALKS))
    if first:
        seen.add(function)
    return first


def _is_djangos(item: pytest.Item) -> bool:
    """Django's own test class, which brings its database without a fixture."""
    return hasattr(getattr(item, "cls", None), "databases")
