"""A house with a store of its own, a disk beside it, and keepers with keys."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.db import connection, connections
from django.db.backends.base.base import BaseDatabaseWrapper

from repairs.keep import actions, keys, making, restoring
from repairs.keep.dumping import Source, at_rest
from repairs.keep.keys import Wanted
from repairs.keep.making import Made
from repairs.keep.tables import MARK
from repairs.keep.target import Target
from repairs.storage import files as store

OPEN = Wanted()


@pytest.fixture(autouse=True)
def own_data(settings, own_store: Path, tmp_path: Path) -> Path:
    """The data folder that holds the test's store."""
    settings.DATA_DIR = tmp_path / "data"
    settings.MEDIA_ROOT = settings.DATA_DIR / "media"
    settings.SEAL_KEY_FILE = settings.DATA_DIR / "seal-key.pem"
    settings.MEDIA_ROOT.mkdir(parents=True)
    settings.BACKUP_TO = ""
    settings.BACKUP_RECIPIENTS = []
    settings.BACKUP_PASSPHRASE_FILE = ""
    return settings.DATA_DIR


@pytest.fixture
def disk(tmp_path: Path) -> Path:
    """A folder on “another disk”."""
    return tmp_path / "disk"


@pytest.fixture(autouse=True)
def read_from_the_test(monkeypatch) -> None:
    """On PostgreSQL a second reader does not see what a test has not committed."""
    if connection.vendor != "postgresql":
        return

    @contextmanager
    def here(alias: str = "default") -> Iterator[Source]:
        if alias != "default" or not connection.in_atomic_block:
            with at_rest(alias) as source:
                yield source
            return
        connection.ensure_connection()
        yield Source(connection.connection, "postgresql")

    monkeypatch.setattr(making, "at_rest", here)


@pytest.fixture
def house_of_two(house, helene) -> list[str]:
    """A house with two files that its store names by their content; their names."""
    return [store.keep(data, "originals", ".jpg")[1] for data in (b"front" * 999, b"wheel" * 999)]


@pytest.fixture
def back_up(disk: Path, now) -> Callable[..., Made]:
    """Make a backup onto the disk."""

    def made(wanted: Wanted = OPEN, **words: Any) -> Made:
        return actions.back_up(disk, wanted, at=now, **words)

    return made


@pytest.fixture
def keepers() -> list[tuple[str, str]]:
    """Two keepers: the secret and the public half of each one's key."""
    return [keys.new_keeper_key() for _keeper in range(2)]


@pytest.fixture
def beside(monkeypatch) -> None:
    """A test may open the database of a restore, which Django's own fence does not know."""
    fenced = BaseDatabaseWrapper.ensure_connection

    def ensure(self: BaseDatabaseWrapper) -> None:
        if self.alias != restoring.ALIAS:
            fenced(self)
        elif self.connection is None:
            self.connect()

    monkeypatch.setattr(BaseDatabaseWrapper, "ensure_connection", ensure)


@pytest.fixture
def quick(beside, monkeypatch) -> None:
    """Tables as the tests' own database has them: migrating takes eight seconds, and is tried
    whole in ``test_whole.py``. Nor do proofs run, which are processes of their own."""
    if connection.vendor == "postgresql":
        pytest.skip("the tables come from SQLite's own words")

    def build(alias: str, _made: object) -> None:
        asked = "SELECT sql FROM sqlite_master WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%'"
        with at_rest() as source:
            statements = [sql for (sql,) in source.rows(asked)]
        with connections[alias].cursor() as cursor:
            for sql in (*statements, f"CREATE TABLE {MARK} (since varchar(40))"):
                cursor.execute(sql)

    monkeypatch.setattr(restoring, "build_tables", build)
    monkeypatch.setattr(restoring, "PROOFS", ())


@pytest.fixture
def new_house(tmp_path: Path) -> Target:
    """An empty data folder somewhere else."""
    return Target(tmp_path / "new", is_house=False)
