"""A ready database for every process of tests, copied from one template.

The migrations take ten seconds and always give the same: they run once for each state of
themselves, under a lock, and what they made is kept as a template that the processes copy: on
SQLite a file among the system's temporary ones, on PostgreSQL a database beside the test's own.
That they lead where the template stands is tried anew in ``tests/whole/test_migrations.py``.
"""

from __future__ import annotations

import ast
import fcntl
import hashlib
import importlib.util
import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import django
import pytest
from django.conf import settings
from django.db import connection

KEPT = 6  # templates of other states, as for a few branches worked on at once
PREFIX = "sautereau_ready_"
ONE_LOCK = 1_771_002_026  # any number that nothing else on the server takes


def shelf() -> Path:
    """The folder of what is kept between runs, this user's alone."""
    folder = Path(tempfile.gettempdir()) / f"sautereau-tests-{os.getuid()}"
    folder.mkdir(mode=0o700, exist_ok=True)
    if folder.is_symlink() or folder.stat().st_uid != os.getuid():
        raise PermissionError(f"{folder} belongs to somebody else; remove it.")
    return folder


@contextmanager
def alone(name: str) -> Iterator[None]:
    """Hold a lock that the tests' processes of this machine share."""
    with (shelf() / f"{name}.lock").open("w") as handle:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield


def fingerprint(*, migrated: bool) -> str:
    """Of all that the template follows from: the migrations and the modules that they import, or
    without migrations every module, since a field may take its measure from anywhere."""
    house = Path(settings.BASE_DIR) / "repairs"
    files = set((house / "migrations").glob("*.py"))
    if migrated:
        files |= {found for file in files for found in _imported(file)}
    else:
        files |= set(house.rglob("*.py"))
    files.add(Path(settings.BASE_DIR) / "requirements.txt")
    digest = hashlib.sha256(f"{django.__version__} {sqlite3.sqlite_version} {migrated}".encode())
    for file in sorted(files):
        digest.update(str(file.relative_to(settings.BASE_DIR)).encode() + file.read_bytes())
    # Content types and permissions are made from the models after the migrations.
    for file in sorted(house.rglob("*models.py")):
        digest.update(file.read_bytes())
    return digest.hexdigest()[:24]


def _imported(file: Path) -> Iterator[Path]:
    """Files of the house's modules that this one names in its imports."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        names = [one.name for one in node.names] if isinstance(node, ast.Import) else []
        if isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module]
        for name in names:
            spec = importlib.util.find_spec(name) if name.startswith("repairs.") else None
            if spec and spec.origin:
                yield Path(spec.origin)


@pytest.fixture(scope="session")
def django_db_setup(
    django_test_environment,
    django_db_blocker,
    django_db_use_migrations: bool,
    django_db_createdb: bool,
    django_db_modify_db_settings,
) -> Iterator[None]:
    """In place of the plugin's own, which migrates anew in every process.

    ``--create-db`` makes the template anew; ``--no-migrations`` makes it from the models.
    """
    name = str(connection.settings_dict["NAME"])
    connection.settings_dict["TEST"]["MIGRATE"] = django_db_use_migrations
    key = fingerprint(migrated=django_db_use_migrations)
    make = _ready_postgres if connection.vendor == "postgresql" else _ready_sqlite
    with django_db_blocker.unblock():
        make(key, anew=django_db_createdb)
    yield
    with django_db_blocker.unblock():
        connection.creation.destroy_test_db(name, verbosity=0)


def _migrate() -> None:
    connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)


def _take_the_test_name() -> None:
    """What create_test_db does beside migrating: the connection turns to the test's database."""
    creation: Any = connection.creation  # its types know nothing of what it keeps to itself
    name = creation._get_test_db_name()
    connection.close()
    settings.DATABASES["default"]["NAME"] = connection.settings_dict["NAME"] = name


# SQLite ----------------------------------------------------------------------------------------


def _ready_sqlite(key: str, *, anew: bool) -> None:
    template = shelf() / f"{key}.sqlite3"
    with alone("template"):
        if anew:
            template.unlink(missing_ok=True)
        if not template.exists():
            _migrate()
            _keep(template)
            return
        os.utime(template)
    _take_the_test_name()
    connection.ensure_connection()
    with closing(sqlite3.connect(f"{template.as_uri()}?mode=ro", uri=True)) as source:
        source.backup(connection.connection)


def _keep(template: Path) -> None:
    """Write the migrated database down, whole or not at all, and clear away the oldest others."""
    draft = template.with_suffix(f".{os.getpid()}")
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(draft)])
    draft.replace(template)
    known = sorted(shelf().glob("*.sqlite3"), key=lambda file: file.stat().st_mtime)
    for old in known[:-KEPT]:
        old.unlink(missing_ok=True)


# PostgreSQL ------------------------------------------------------------------------------------


def _ready_postgres(key: str, *, anew: bool) -> None:
    """Copy the template under a lock of the server: it may be copied only while nobody is in it."""
    creation: Any = connection.creation
    template, name = f"{PREFIX}{key}", creation._get_test_db_name()
    with creation._nodb_cursor() as cursor:
        cursor.execute("SELECT pg_advisory_lock(%s)", [ONE_LOCK])
        cursor.execute("SELECT datname FROM pg_database WHERE datname LIKE %s", [f"{PREFIX}%"])
        known = {row[0] for row in cursor.fetchall()}
        for old in known if anew else known - {template}:
            cursor.execute(f'DROP DATABASE "{old}"')
        if anew or template not in known:
            _migrate()
            connection.close()
            cursor.execute(f'CREATE DATABASE "{template}" TEMPLATE "{name}"')
        else:
            cursor.execute(f'DROP DATABASE IF EXISTS "{name}"')
            cursor.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
            _take_the_test_name()
        cursor.execute("SELECT pg_advisory_unlock(%s)", [ONE_LOCK])
