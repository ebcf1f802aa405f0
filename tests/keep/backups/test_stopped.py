"""A restore killed at any of its steps leaves no half house: none is served, the next one is whole.

python3 manage.py test --whole tests/keep/backups/test_stopped.py   # every step
"""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from django.conf import settings as house_settings
from django.db import connection

from repairs.keep.bundle import open_bundle
from repairs.keep.refusals import HouseNotEmptyError, RestoreBusyError
from repairs.keep.restoring import restore
from repairs.keep.target import Target
from repairs.storage import files as store

pytestmark = pytest.mark.django_db
STEPS = 27  # so many times a restore of two files changes something on the disk
Killed = Callable[[int, Path], subprocess.CompletedProcess[str]]


def child(*words: object, **own: str) -> subprocess.CompletedProcess[str]:
    environment = {name: word for name, word in os.environ.items() if name != "DATABASE_URL"}
    environment |= {"DJANGO_SETTINGS_MODULE": "workshop.settings", "SAUTEREAU_LANGUAGE": "en"}
    return subprocess.run(
        [sys.executable, *map(str, words)],
        cwd=house_settings.BASE_DIR,
        env=environment | own,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture
def killed(house_of_two, back_up, tmp_path, quick) -> Killed:
    """Restore the house into a folder, by a process that dies at that change of the disk."""
    entry, tables = back_up().entry, tmp_path / "tables.sqlite3"
    tables.write_bytes(connection.connection.serialize())

    def run(step: int, data: Path) -> subprocess.CompletedProcess[str]:
        words = ("tests.keep.backups.stopped", entry, data, step, tables)
        return child("-m", *words, SAUTEREAU_DATA=str(data.parent / "other"))

    run.entry = entry  # type: ignore[attr-defined]
    return run


def rows(data: Path) -> int:
    """How many people the database there knows; -1 without one that has tables."""
    file = data / "casebook.sqlite3"
    if not file.exists():
        return -1
    with closing(sqlite3.connect(file)) as raw:
        return int(raw.execute("SELECT count(*) FROM repairs_user").fetchone()[0])


@pytest.mark.slow
@pytest.mark.share(8)
@pytest.mark.parametrize("step", range(1, STEPS + 1))
def test_killed_at_a_step_it_is_whole_or_not_there(killed, tmp_path, house_of_two, step):
    target = Target(tmp_path / "new", is_house=False)

    died = killed(step, target.data)

    assert died.returncode == -signal.SIGKILL, died.stderr[-500:]
    is_there = rows(target.data) > 0
    is_begun = (target.data / "restoring").exists()
    assert target.is_stopped() is (is_begun and not is_there)
    if is_there:  # the last rename was done: all of it is in its place
        with pytest.raises(HouseNotEmptyError):
            restore(open_bundle(killed.entry), target)
    else:
        restore(open_bundle(killed.entry), target)
    for name in house_of_two:
        assert (target.data / "media" / name).read_bytes() == store.path_of(name).read_bytes()
    assert not (target.data / "restoring").exists()
    assert not target.is_stopped()


@pytest.mark.slow
def test_the_steps_above_are_all_there_are(killed, tmp_path):
    done = killed(0, tmp_path / "new")

    assert done.returncode == 0, done.stderr[-500:]
    assert STEPS <= int(done.stdout) <= STEPS + 3


def test_no_server_starts_on_half_a_house(tmp_path):
    data = tmp_path / "data"
    (data / "restoring").mkdir(parents=True)

    done = child("-c", "import workshop.wsgi", SAUTEREAU_DATA=str(data))

    assert done.returncode == 3
    assert "was stopped before its end" in done.stderr
    assert "Run the same restore again" in done.stderr


def test_two_restores_do_not_clear_each_other_away(tmp_path, new_house):
    with new_house.alone():
        done = child("manage.py", "restore", tmp_path, SAUTEREAU_DATA=str(new_house.data))

    assert done.returncode == 1
    assert "is in use: a server runs from it, or another restore writes" in done.stderr


def test_no_restore_begins_under_a_server(tmp_path):
    data = tmp_path / "alone"
    data.mkdir()
    code = "import time\nfrom pathlib import Path\nimport django\ndjango.setup()\n"
    code += f"from repairs.keep.starting import live_in\nlive_in(Path({str(data)!r}))\n"
    code += "print('here', flush=True)\ntime.sleep(60)"
    server = subprocess.Popen(
        [sys.executable, "-c", code],
        cwd=house_settings.BASE_DIR,
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "workshop.settings"},
        stdout=subprocess.PIPE,
    )
    assert server.stdout is not None
    assert server.stdout.readline() == b"here\n"

    with pytest.raises(RestoreBusyError, match="Stop the server"), Target(data).alone():
        pass
    server.kill()
    server.communicate()
    with Target(data).alone():
        assert data.exists()
