"""The commands: their sentences, their exit codes, and a kill in the middle."""

from __future__ import annotations

import io
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings as house_settings
from django.core.management import call_command
from django.db import connection

from repairs.audit.models import LogEntry
from repairs.people.models import User

pytestmark = pytest.mark.django_db


def said(*words: object, code: int = 0) -> tuple[str, str]:
    """Run a command; its words, and the exit code as expected."""
    out, err = io.StringIO(), io.StringIO()
    found = 0
    try:
        call_command(*(str(word) for word in words), stdout=out, stderr=err)
    except SystemExit as end:
        found = int(end.code or 0)
    assert found == code, err.getvalue()
    return out.getvalue(), err.getvalue()


def test_a_backup_prints_its_path_last(house_of_two, disk):
    out, _err = said("backup", "--to", disk)

    entry = Path(out.splitlines()[-1])
    assert entry.parent == disk
    assert (entry / "manifest-sha256.txt").exists()


def test_its_figures_are_told_as_json(house_of_two, disk):
    out, _err = said("backup", "--to", disk, "--json")

    figures = json.loads(out)
    assert (figures["files_n"], figures["copied_n"], figures["missing"]) == (2, 2, [])


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        ((), 2, "Name the folder: --to DIR"),
        (("--to", "DISK", "--keep", "0"), 2, "--keep wants a number from 1 on"),
        (("--to", "DATA"), 2, "inside the data folder"),
        (("--to", "DISK", "--recipient", "hélène"), 2, "is no public key"),
        (("--to", "DISK", "--passphrase-file", "/no/such"), 2, "cannot be read"),
        (
            ("--to", "DISK", "--passphrase-file", "x", "--recipient", "y"),
            2,
            "Name recipients or a file with a passphrase, not both.",
        ),
        (("--to", "DISK", "--drill"), 2, "holds no whole backup"),
    ],
)
def test_bad_input_of_a_backup_is_a_sentence(house, disk, own_data, words, code, sentence):
    places = {"DISK": disk, "DATA": own_data}

    typed = [places.get(word, word) for word in words]
    _out, err = said("backup", *typed, code=code)

    assert sentence in err


def test_a_missing_file_is_said_and_the_path_printed_all_the_same(photo, disk):
    Path(house_settings.MEDIA_ROOT, photo.original.file_name).unlink()

    out, err = said("backup", "--to", disk, code=1)

    assert photo.original.file_name in err
    assert Path(out.splitlines()[-1]).is_dir()


@pytest.mark.parametrize(
    ("what", "code", "sentence"),
    [("house", 1, "There is a house here already"), ("nothing", 2, "is no backup of this program")],
)
def test_bad_input_of_a_restore_is_a_sentence(own_data, tmp_path, what, code, sentence):
    if what == "house":
        (own_data / "media" / "a.jpg").write_bytes(b"a")
    if connection.vendor == "postgresql":
        pytest.skip("the tests' own database is no empty one")

    _out, err = said("restore", tmp_path, code=code)

    assert sentence in err


def test_a_new_principal_is_let_in_and_the_log_says_how(house, monkeypatch):
    monkeypatch.setenv("SAUTEREAU_PASSWORD", "roue-et-corde-1771")

    said("let_in", "berthe")

    berthe = User.objects.get(username="berthe")
    assert berthe.role == "principal"
    assert berthe.check_password("roue-et-corde-1771")
    lines = LogEntry.objects.order_by("-seq")[:2]
    assert [(line.verb, line.actor_id, line.subject) for line in lines] == [
        ("person.let_in", None, f"user:{berthe.pk}"),
        ("person.hired", None, f"user:{berthe.pk}"),
    ]


@pytest.mark.parametrize(
    ("name", "password", "code", "sentence"),
    [
        ("Helene", "roue-et-corde-1771", 1, "is here already: take another name"),
        ("berthe", "12345678", 2, "too common"),
        ("ber the", "roue-et-corde-1771", 2, "valid username"),
        ("", "roue-et-corde-1771", 2, "blank"),
    ],
)
def test_who_cannot_be_let_in_is_told_why(helene, monkeypatch, name, password, code, sentence):
    monkeypatch.setenv("SAUTEREAU_PASSWORD", password)

    _out, err = said("let_in", name, code=code)

    assert sentence in err
    assert not User.objects.filter(username="berthe").exists()


def test_a_sheet_is_written_once_for_its_owner_alone(house, tmp_path):
    file = tmp_path / "sheet.pdf"

    out, _err = said("recovery_sheet", file, "--new-key")
    _out, err = said("recovery_sheet", file, code=2)

    assert out.splitlines()[-1].startswith("age1")
    assert file.read_bytes().startswith(b"%PDF")
    assert oct(file.stat().st_mode & 0o777) == "0o600"
    assert "is there already" in err
    _out, err = said("recovery_sheet", tmp_path / "no" / "x.pdf", code=2)
    assert "cannot be written" in err


KILL_AT = ["write_bag", "_rename_whole", "_rows", "carry"]
CHILD = """
import os, signal, sys
import django
django.setup()
from django.utils import timezone
from repairs.keep import making
from repairs.keep.keys import Wanted
def die(*words, **more):
    os.kill(os.getpid(), signal.SIGKILL)
setattr(making, sys.argv[2], die)
making.make_entry(sys.argv[1], Wanted(), at=timezone.now())
"""


@pytest.mark.share(2)
@pytest.mark.parametrize("step", KILL_AT)
def test_after_a_kill_in_the_middle_the_next_one_is_whole(
    house_of_two, own_data, disk, tmp_path, back_up, step
):
    if connection.vendor == "postgresql":
        pytest.skip("the rows of a test are in its own transaction")
    (own_data / "casebook.sqlite3").write_bytes(connection.connection.serialize())

    killed = subprocess.run(
        [sys.executable, "-c", CHILD, str(disk), step],
        cwd=house_settings.BASE_DIR,
        env={**_plain_environment(), "SAUTEREAU_DATA": str(own_data)},
        capture_output=True,
        check=False,
    )

    assert killed.returncode == -signal.SIGKILL, killed.stderr.decode()[-500:]
    left = [path.name for path in disk.iterdir() if path.is_dir()]
    assert len(left) == 1
    assert left[0].endswith(".part")
    made = back_up()
    assert made.swept == (left[0],)
    assert [path.name for path in disk.iterdir() if path.is_dir()] == [made.entry.name]


def _plain_environment() -> dict[str, str]:
    own = {name: word for name, word in os.environ.items() if name != "DATABASE_URL"}
    return {**own, "DJANGO_SETTINGS_MODULE": "workshop.settings"}
