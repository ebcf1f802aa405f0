"""There and back between SQLite and PostgreSQL; only where a server is at hand."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from django.conf import settings as house_settings
from django.db import connection

from repairs.keep.bundle import open_bundle
from repairs.storage import files as store

pytestmark = [
    pytest.mark.skipif("connection.vendor != 'postgresql'"),
    pytest.mark.django_db(transaction=True),
]
NAME = f"sautereau_kept_{os.getpid()}"  # processes of tests run beside one another


@pytest.fixture
def empty_database():
    """The address of an empty database on the server of the tests."""
    creation: Any = connection.creation
    with creation._nodb_cursor() as cursor:
        cursor.execute(f'DROP DATABASE IF EXISTS "{NAME}"')
        cursor.execute(f'CREATE DATABASE "{NAME}"')
    said = connection.settings_dict
    yield (
        f"postgres://{said['USER']}:{quote(said['PASSWORD'])}@{said['HOST']}:{said['PORT']}/{NAME}"
    )
    with creation._nodb_cursor() as cursor:
        cursor.execute(f'DROP DATABASE IF EXISTS "{NAME}" WITH (FORCE)')


def command(data: Path, address: str, *words: object) -> subprocess.CompletedProcess[str]:
    own = {**os.environ, "SAUTEREAU_DATA": str(data), "SAUTEREAU_LANGUAGE": "en"}
    own["DATABASE_URL"] = address
    line = [sys.executable, "manage.py", *(str(word) for word in words)]
    root = house_settings.BASE_DIR
    return subprocess.run(line, cwd=root, env=own, capture_output=True, text=True, check=False)


def test_rows_are_the_same_on_the_other_side_and_numbers_go_on(
    house, case, finding, disk, tmp_path, empty_database, back_up
):
    entry = back_up().entry

    done = command(tmp_path / "pg", empty_database, "restore", entry)
    again = command(tmp_path / "pg", empty_database, "restore", entry)
    let_in = command(tmp_path / "pg", empty_database, "shell", "-c", HIRE)
    second = command(tmp_path / "pg", empty_database, "backup", "--to", tmp_path / "two", "--json")
    other = Path(json.loads(second.stdout)["entry"])
    back = command(tmp_path / "lite", "", "restore", other)

    assert (done.returncode, again.returncode, back.returncode) == (0, 1, 0), back.stderr
    assert "There is a house here already" in again.stderr
    assert let_in.returncode == 0, let_in.stderr
    first, then = open_bundle(entry), open_bundle(other)
    changed = {name for name in first.hashes if first.hashes[name] != then.hashes[name]}
    # Somebody was let in, and the files were read back when the rows were proved.
    proved = {"repairs_storecheck", "repairs_filecheck"}
    assert changed - proved == {"repairs_user", "repairs_logentry", "repairs_loghead"}


@pytest.mark.share(2)
@pytest.mark.parametrize("step", ["_compare", "_move"])
def test_killed_after_its_rows_a_restore_serves_nothing_and_begins_anew(
    house_of_two, back_up, tmp_path, empty_database, step
):
    """The rows are committed by then, and the files are not in their place."""
    entry, data = back_up().entry, tmp_path / "pg"
    own = {**os.environ, "DATABASE_URL": empty_database, "SAUTEREAU_DATA": str(data)}
    own |= {"DJANGO_SETTINGS_MODULE": "workshop.settings", "SAUTEREAU_LANGUAGE": "en"}
    line = [sys.executable, "-m", "tests.keep.backups.stopped", str(entry), str(data), step]

    root = house_settings.BASE_DIR
    died = subprocess.run(line, cwd=root, env=own, capture_output=True, text=True, check=False)
    served = subprocess.run(
        [sys.executable, "-c", "import workshop.wsgi"],
        cwd=root, env=own, capture_output=True, text=True, check=False,
    )  # fmt: skip
    done = command(data, empty_database, "restore", entry)
    again = command(data, empty_database, "restore", entry)

    assert died.returncode == -signal.SIGKILL, died.stderr[-500:]
    assert served.returncode == 3
    assert "was stopped before its end" in served.stderr
    assert (done.returncode, again.returncode) == (0, 1), done.stderr
    for name in house_of_two:
        assert (data / "media" / name).read_bytes() == store.path_of(name).read_bytes()


HIRE = """
from django.utils import timezone
from repairs.people.actions import save_user
from repairs.people.models import User
save_user(User(username="berthe", role="reader"), by=None, at=timezone.now())
"""
