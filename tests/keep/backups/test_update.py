"""To the next release, or back as if nothing had been tried."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from django.conf import settings as house_settings
from django.db import connection
from django.http import HttpResponse
from django.test import Client

from repairs.keep import updating
from repairs.keep.refusals import NoReleaseError, NotUpdatedError
from repairs.keep.updating import Release, first_page, update

pytestmark = pytest.mark.django_db

NEXT = """
import os, sqlite3, sys
file = os.path.join(os.environ["SAUTEREAU_DATA"], "casebook.sqlite3")
with open(os.path.join(os.environ["SAUTEREAU_DATA"], "asked"), "a") as asked:
    asked.write(sys.argv[1] + "\\n")
if sys.argv[1] == "migrate":
    base = sqlite3.connect(file)
    base.execute("CREATE TABLE IF NOT EXISTS next_release (id integer)")
    base.commit()
if sys.argv[1] == "FAILS":
    print("one\\n2 lines were touched.", file=sys.stderr)
    sys.exit(1)
"""


@pytest.fixture
def next_release(tmp_path: Path, own_data: Path, monkeypatch) -> Release:
    """A release that migrates and fails where it is told to."""
    folder = tmp_path / "next"
    (folder / "repairs").mkdir(parents=True)
    (folder / "manage.py").write_text(NEXT)
    with closing(sqlite3.connect(own_data / "casebook.sqlite3")) as base:
        base.execute("CREATE TABLE of_now (id integer)")
    if connection.vendor != "sqlite":
        pytest.skip("the file is SQLite's")
    own = {"default": {"NAME": str(own_data / "casebook.sqlite3")}}
    monkeypatch.setattr(updating, "settings", _Settings(own_data, own))
    return Release(folder)


class _Settings:
    def __init__(self, data: Path, databases: dict[str, dict[str, str]]) -> None:
        self.DATA_DIR, self.DATABASES = data, databases
        self.BASE_DIR = house_settings.BASE_DIR


def tables(data: Path) -> set[str]:
    with closing(sqlite3.connect(data / "casebook.sqlite3")) as base:
        return {name for (name,) in base.execute("SELECT name FROM sqlite_master")}


def steps_of(data: Path) -> list[str]:
    return (data / "asked").read_text().split()


def test_every_check_is_made_and_the_rows_stay_migrated(house, back_up, own_data, next_release):
    update(next_release, back_up().entry, "", lambda _words: None)

    assert steps_of(own_data) == ["migrate", "check", "migrate", "verify_log", "shell"]
    assert tables(own_data) == {"of_now", "next_release"}
    assert not (own_data / "keep" / "before-update.sqlite3").exists()


@pytest.mark.parametrize("place", range(5))
def test_whatever_fails_brings_the_former_rows_back(
    house, back_up, own_data, next_release, monkeypatch, place
):
    steps = list(updating.STEPS)
    steps.insert(place + 1, ("FAILS",))
    monkeypatch.setattr(updating, "STEPS", tuple(steps))

    with pytest.raises(NotUpdatedError, match=r"“FAILS”: 2 lines were touched\."):
        update(next_release, back_up().entry, "", lambda _words: None)

    assert tables(own_data) == {"of_now"}
    assert len(steps_of(own_data)) == place + 2


def test_a_release_that_cannot_be_run_is_no_half_update(house, back_up, own_data, next_release):
    (next_release.folder / ".venv" / "bin").mkdir(parents=True)
    (next_release.folder / ".venv" / "bin" / "python").write_text("not a program")

    with pytest.raises(NotUpdatedError, match="Everything is as it was"):
        update(next_release, back_up().entry, "", lambda _words: None)

    assert tables(own_data) == {"of_now"}


def test_what_is_no_other_release_is_said(tmp_path):
    for folder in (tmp_path, tmp_path / "no", Path(house_settings.BASE_DIR)):
        with pytest.raises(NoReleaseError, match="unpack the next one there first"):
            Release(folder).check()


def test_the_first_page_is_asked_for(house, monkeypatch):
    first_page()

    monkeypatch.setattr(Client, "get", lambda *_words, **_more: HttpResponse(status=500))
    with pytest.raises(SystemExit, match="/sign-in/"):
        first_page()
