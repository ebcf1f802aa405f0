"""A house of every release that is out is carried to the newest one, and no row is lost."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from repairs.audit.actions import chain_faults
from repairs.audit.checking import Count, all_faults
from tests.releases import carrying
from workshop import __version__

FOLDER = Path(settings.BASE_DIR) / "fixtures" / "releases"
RELEASES = sorted(file.stem for file in FOLDER.glob("*.json"))
# Columns that a later release took away or keeps otherwise: (table, column) and why.
GONE: dict[tuple[str, str], str] = {
    ("LogHead", "seq"): "the log goes on",
    ("LogHead", "hash"): "the log goes on",
}
# Links that became rows of their own, in the tables in which they stood.
RENAMED = {
    "OptionLine_findings": "OptionLineFinding",
    "AgreedWork_findings": "AgreedWorkFinding",
    "Intervention_findings": "InterventionFinding",
    "Intervention_parts": "InterventionPart",
}
GROWN = ("LogEntry",)  # a migration may say lines of its own, after those that stood


def leaves() -> list[tuple[str, str]]:
    return MigrationExecutor(connection).loader.graph.leaf_nodes(carrying.APP)


def migrate(target: tuple[str, str]) -> carrying.Models:
    executor = MigrationExecutor(connection)
    return executor.migrate([target]).apps


@pytest.fixture
def empty(usual) -> None:
    """A database without any table, until the test ends."""


def changes(name: str, before: list[carrying.Row], after: list[carrying.Row]) -> list[Any]:
    """What is not as it was, but for the columns that are known to be gone."""
    found: list[Any] = []
    if name in GROWN:
        after = after[: len(before)]
    for old, new in zip(before, after, strict=True):
        for column, value in old.items():
            if (name, column) not in GONE and new.get(column, ...) != value:
                found.append((name, old.get("id"), column, value, new.get(column, ...)))
    return found


def test_the_present_release_or_one_before_it_is_kept():
    assert RELEASES
    assert "1.0" in RELEASES
    assert max(RELEASES) <= __version__


@pytest.mark.parametrize("release", RELEASES)
def test_every_table_of_a_kept_release_has_rows(release):
    kept = json.loads((FOLDER / f"{release}.json").read_text(encoding="utf-8"))

    assert [name for name, rows in kept["tables"].items() if not rows] == []


@pytest.mark.parametrize("release", RELEASES)
def test_a_house_of_an_earlier_release_is_carried_to_the_newest(empty, release):
    kept = json.loads((FOLDER / f"{release}.json").read_text(encoding="utf-8"))
    earlier = migrate((carrying.APP, kept["leaf"]))
    carrying.fill(earlier, kept["tables"])

    for leaf in leaves():
        newest = migrate(leaf)

    after = carrying.dumped(newest)
    assert {model.__name__ for model in carrying.models_of(earlier)} == set(kept["tables"])
    lost = [
        change
        for name, rows in kept["tables"].items()
        for change in changes(name, rows, after[RENAMED.get(name, name)])
    ]
    assert lost == []
    assert list(chain_faults()) == []
    assert [str(fault) for fault in all_faults(Count())] == []
