"""A database in which nothing is yet, in place of the one of all other tests."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.db import connection, connections
from django.db.backends.base.base import BaseDatabaseWrapper


def creation_of(database: Any) -> Any:
    """What makes databases; its types know nothing of what it keeps to itself."""
    return database.creation


@pytest.fixture
def usual(transactional_db, tmp_path: Path) -> Iterator[BaseDatabaseWrapper]:
    """The database of all other tests; one in which nothing is yet stands in its place."""
    known = dict(connection.settings_dict)
    if connection.vendor == "postgresql":
        name = f"{known['NAME']}_from_nothing"
        with creation_of(connection)._nodb_cursor() as cursor:
            cursor.execute(f'CREATE DATABASE "{name}"')
    else:
        name = str(tmp_path / "from_nothing.sqlite3")
    usual = connections["default"]
    other = type(usual)({**known, "NAME": name}, "default")
    connections["default"] = other
    try:
        yield usual
    finally:
        connections["default"] = usual
        other.close()
        if usual.vendor == "postgresql":
            with creation_of(usual)._nodb_cursor() as cursor:
                cursor.execute(f'DROP DATABASE "{name}"')
