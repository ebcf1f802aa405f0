"""A house with rows in every table, there and back, tables built by the migrations themselves."""

from __future__ import annotations

import os
import re
import subprocess
import sys

import pytest
from django.conf import settings

from repairs.keep.bundle import open_bundle
from repairs.keep.keys import Wanted
from repairs.keep.restoring import restore
from repairs.keep.stored import PASSING
from repairs.storage import files as store
from tests.keep.backups.checker import bagit
from tests.releases.conftest import whole_house

__all__ = ["whole_house"]

pytestmark = pytest.mark.django_db


@pytest.mark.slow
@pytest.mark.share(3)
@pytest.mark.parametrize("way", ["open", "locked", "open again"])
def test_every_row_and_every_file_comes_back(whole_house, back_up, keepers, beside, new_house, way):
    wanted = Wanted(recipients=tuple(public for _secret, public in keepers))
    made = back_up(wanted if way == "locked" else Wanted())

    restored = restore(open_bundle(made.entry, keepers[1][0]), new_house)

    passing = [store.root() / name for name in PASSING]
    files = [
        path
        for path in store.root().rglob("*")
        if path.is_file() and not any(path.is_relative_to(one) for one in passing)
    ]
    assert (made.missing, made.damaged) == ((), ())
    assert bagit.Bag(str(made.entry)).is_valid()
    assert restored.proved[:1] == ("verify_log",)
    assert restored.files_n == len([path for path in files if not path.name.endswith(".part")])
    for path in files:
        back = new_house.data / "media" / path.relative_to(store.root())
        assert back.read_bytes() == path.read_bytes()


def test_the_page_of_an_open_one_lists_what_is_there_and_each_link_leads_to_a_file(
    case, photo, back_up
):
    entry = back_up().entry
    page = (entry / "index.html").read_text()

    places = set(re.findall(r'(?:href|src)="(data/[^"]+)"', page))
    assert case.instrument.number in page
    assert case.owner.name in page
    assert "Sauvegarde" in page
    assert len(places) == 2
    assert all((entry / place).is_file() for place in places)


def test_the_page_of_a_locked_one_says_how_it_is_opened(case, back_up, keepers):
    wanted = Wanted(recipients=tuple(public for _secret, public in keepers))
    page = (back_up(wanted).entry / "index.html").read_text()

    assert case.owner.name not in page
    assert "age -d -i key.txt" in page


@pytest.mark.slow
def test_the_command_restores_where_no_house_ever_stood(whole_house, back_up, tmp_path):
    """In a process of its own: its own database is empty, as a keeper's new machine is."""
    made = back_up()
    there = {**os.environ, "SAUTEREAU_DATA": str(tmp_path / "new machine")}
    there.pop("DATABASE_URL", None)

    for words in (["restore", str(made.entry)], ["verify_log"], ["verify_store"]):
        done = subprocess.run(
            [sys.executable, "manage.py", *words],
            env=there,
            cwd=settings.BASE_DIR,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
