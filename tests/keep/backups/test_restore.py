"""Back into an empty house: all of it, or nothing with a sentence."""

from __future__ import annotations

import json
import shutil
import sqlite3
import subprocess
from contextlib import closing
from pathlib import Path

import pytest

from repairs.audit import marks
from repairs.keep import restoring
from repairs.keep.bag import write_bag
from repairs.keep.bundle import open_bundle
from repairs.keep.keys import Wanted, in_groups
from repairs.keep.refusals import (
    BundleDamagedError,
    BundleForeignError,
    BundleNewerError,
    HouseNotEmptyError,
    KeyWantedError,
    ProofFailedError,
    RowsDifferError,
    WrongKeyError,
)
from repairs.keep.restoring import restore
from repairs.keep.target import Target
from repairs.people.models import User
from repairs.storage import files as store
from repairs.storage.files import sha256_of
from tests import factories

pytestmark = pytest.mark.django_db

PHRASE = "chien roue corde trompette"


def again(entry: Path) -> None:
    """Make the entry a whole bag again, after it was changed by somebody who knows how."""
    names = [path for path in (entry / "data").rglob("*") if path.is_file()]
    hashes = {path.relative_to(entry).as_posix(): sha256_of(path) for path in names}
    size = sum(path.stat().st_size for path in names)
    (entry / "tagmanifest-sha256.txt").unlink()
    write_bag(entry, hashes, size, {"Bagging-Date": "2026-11-25"})


def users(target: Target) -> list[tuple[int, str]]:
    with closing(sqlite3.connect(target.data / "casebook.sqlite3")) as raw:
        return raw.execute("SELECT id, password FROM repairs_user").fetchall()


def nothing_of(target) -> bool:
    """Whether the data folder holds nothing of a house."""
    return not target.data.exists() or not any(target.data.iterdir())


@pytest.fixture
def entry(house_of_two, back_up) -> Path:
    return back_up().entry


def test_files_and_rows_come_back_to_the_byte(entry, quick, new_house, house_of_two, helene):
    restored = restore(open_bundle(entry), new_house)

    assert restored.files_n == 2
    for name in house_of_two:
        data = (new_house.data / "media" / name).read_bytes()
        assert data == store.path_of(name).read_bytes()
    assert users(new_house) == [(helene.pk, helene.password)]
    assert not (new_house.data / "restoring").exists()
    assert oct((new_house.data / "casebook.sqlite3").stat().st_mode & 0o777) == "0o600"


def test_numbers_go_on_after_the_last_that_was_ever_given(house, back_up, quick, new_house, helene):
    gone = User.objects.create(username="left", role="reader")
    last = gone.pk
    gone.delete()

    restore(open_bundle(back_up().entry), new_house)

    with closing(sqlite3.connect(new_house.data / "casebook.sqlite3")) as raw:
        asked = "SELECT seq FROM sqlite_sequence WHERE name = 'repairs_user'"
        assert raw.execute(asked).fetchone() == (last,)


@pytest.mark.parametrize("way", ["first keeper", "second keeper, in groups", "passphrase"])
def test_an_encrypted_one_opens_with_each_key(
    house_of_two, back_up, keepers, quick, new_house, settings, way
):
    settings.SEAL_KEY_FILE.write_text("a key")
    wanted = Wanted(recipients=tuple(public for _secret, public in keepers))
    secret = keepers[0][0]
    if way == "passphrase":
        wanted, secret = Wanted(passphrase=PHRASE), PHRASE
    elif way != "first keeper":  # the first one lost theirs
        secret = " ".join(in_groups(keepers[1][0])).lower()
    made = back_up(wanted)

    restore(open_bundle(made.entry, secret), new_house)

    assert (new_house.data / "media" / house_of_two[0]).read_bytes() == b"front" * 999
    assert (new_house.data / "seal-key.pem").read_text() == "a key"


def test_a_wrong_passphrase_is_said(house_of_two, back_up, keepers):
    entry = back_up(Wanted(passphrase=PHRASE)).entry

    for typed in (PHRASE + "s", keepers[0][0]):
        with pytest.raises(WrongKeyError, match="Compare it with the recovery sheet"):
            open_bundle(entry, typed)
    with pytest.raises(KeyWantedError, match="--passphrase-file"):
        open_bundle(entry)


@pytest.mark.parametrize("locked", [False, True])
def test_one_bit_anywhere_leaves_nothing(house_of_two, back_up, quick, new_house, locked):
    entry = back_up(Wanted(passphrase=PHRASE) if locked else Wanted()).entry
    end = ".age" if locked else ""
    stored = sorted(path for path in (entry / "data/files").rglob("*") if path.is_file())
    for place in (entry / f"data/database/repairs_user.jsonl{end}", stored[-1]):
        data = bytearray(place.read_bytes())
        data[len(data) // 2] ^= 4
        kept = place.with_name("kept")
        shutil.move(place, kept)
        place.write_bytes(data)
        shutil.move(kept, entry.parent / "kept")

        with pytest.raises(BundleDamagedError, match="The backup is damaged"):
            restore(open_bundle(entry, PHRASE), new_house)

        assert nothing_of(new_house)
        shutil.move(entry.parent / "kept", place)
    assert restore(open_bundle(entry, PHRASE), new_house).files_n == 2


def test_a_changed_file_whose_manifest_was_mended_is_seen_by_the_list(entry, quick, new_house):
    next((entry / "data/files/originals").iterdir()).write_bytes(b"another picture")
    again(entry)

    with pytest.raises(BundleDamagedError):
        restore(open_bundle(entry), new_house)
    assert nothing_of(new_house)


def test_a_row_taken_out_is_seen_by_the_hash_of_its_table(entry, quick, new_house):
    table = entry / "data/database/repairs_logentry.jsonl"
    table.write_text("".join(table.read_text().splitlines(keepends=True)[:-1]))
    again(entry)

    with pytest.raises(RowsDifferError, match="repairs_logentry"):
        restore(open_bundle(entry), new_house)
    assert nothing_of(new_house)


@pytest.mark.parametrize(
    ("was", "becomes"),
    [('"username":"helene"', '"username":null'), ('"username"', '"user"'), ('{"', '["')],
)
def test_rows_that_cannot_be_ours_are_refused(entry, quick, new_house, was, becomes):
    table = entry / "data/database/repairs_user.jsonl"
    table.write_text(table.read_text().replace(was, becomes))
    again(entry)

    with pytest.raises(BundleDamagedError, match="take another backup"):
        restore(open_bundle(entry), new_house)
    assert nothing_of(new_house)


def test_a_file_that_would_land_outside_is_refused(entry, quick, new_house, tmp_path):
    lists = entry / "data/files.jsonl"
    lists.write_text(lists.read_text().replace('["originals/', '["../../outside/', 1))
    again(entry)

    with pytest.raises(BundleDamagedError):
        restore(open_bundle(entry), new_house)
    assert not (tmp_path / "outside").exists()


def changed(entry: Path, **said: object) -> None:
    file = entry / "entry.json"
    file.write_text(json.dumps({**json.loads(file.read_text()), **said}))
    again(entry)


def test_a_migration_of_a_later_release_is_refused_by_name(entry, new_house):
    changed(entry, migrations=[["repairs", "0999_telepathy"]], release="9.9")

    with pytest.raises(BundleNewerError, match=r"later release \(9\.9.*repairs\.0999_telepathy"):
        restore(open_bundle(entry), new_house)


def test_a_later_format_is_refused(entry):
    changed(entry, format="sautereau-backup/2", release="9.9")

    with pytest.raises(BundleNewerError, match="Install that release"):
        open_bundle(entry)


@pytest.mark.parametrize("said", [{"format": "of-others/1"}, {"format": None}])
def test_the_bag_of_another_program_is_refused(entry, said):
    changed(entry, **said)

    with pytest.raises(BundleForeignError, match="is no backup of this program"):
        open_bundle(entry)


def test_a_bag_without_our_tables_is_refused(entry):
    (entry / "data/database/tables.json").unlink()
    again(entry)

    with pytest.raises(BundleForeignError):
        open_bundle(entry)


@pytest.mark.parametrize("what", ["a file", "media/a.jpg", "casebook.sqlite3"])
def test_a_house_with_data_is_never_written_over(entry, quick, new_house, what):
    place = new_house.data / what
    place.parent.mkdir(parents=True)
    place.write_bytes(b"no database, but not nothing either")

    with pytest.raises(HouseNotEmptyError, match="Restore into an empty data folder"):
        restore(open_bundle(entry), new_house)
    assert place.exists()


def test_a_second_restore_finds_the_house_of_the_first(entry, quick, new_house):
    restore(open_bundle(entry), new_house)

    with pytest.raises(HouseNotEmptyError):
        restore(open_bundle(entry), new_house)
    assert users(new_house)


def test_what_every_command_makes_beforehand_is_no_house(entry, quick, new_house):
    for name in ("static", "bundled", "media"):
        (new_house.data / name).mkdir(parents=True)
    (new_house.data / "secret-key").write_text("x")
    with closing(sqlite3.connect(new_house.data / "casebook.sqlite3")) as raw:
        raw.execute("CREATE TABLE repairs_user (id integer)")

    assert restore(open_bundle(entry), new_house).rows_n
    assert (new_house.data / "secret-key").read_text() == "x"


@pytest.mark.parametrize("is_ready", [False, True])
def test_what_a_stopped_restore_left_is_cleared(entry, quick, new_house, house_of_two, is_ready):
    work = new_house.data / "restoring"
    (work / "media").mkdir(parents=True)
    if is_ready:  # it was killed after the files, before the rows
        (work / "ready").touch()
        half = new_house.data / "media" / house_of_two[0]
        half.parent.mkdir(parents=True)
        half.write_bytes(b"front" * 999)

    assert restore(open_bundle(entry), new_house).files_n == 2


def test_a_house_that_does_not_prove_itself_is_not_put_in_place(
    entry, quick, new_house, monkeypatch
):
    monkeypatch.setattr(restoring, "PROOFS", ("verify_log",))
    monkeypatch.setattr(subprocess, "run", _fails)

    with pytest.raises(ProofFailedError, match=r"does not pass “verify_log”: 1 fault\."):
        restore(open_bundle(entry), new_house)
    assert nothing_of(new_house)


def _fails(*words: object, **more: object):
    return subprocess.CompletedProcess([], 1, "", "seen\n1 fault.")


def test_what_was_erased_since_is_erased_again(entry, quick, tmp_path, monkeypatch):
    monkeypatch.setattr(restoring, "_replays", [lambda: 2])

    assert restore(open_bundle(entry), Target(tmp_path / "new")).replayed_n == 2


def test_the_marks_come_along_and_ask_for_the_newest_papers(
    house_of_two, back_up, quick, new_house, helene
):
    factories.piece(by=helene)

    restore(open_bundle(back_up().entry), new_house)

    back = marks.understood((new_house.data / "high-water.json").read_text())
    assert dict(back.numbers) == {"wood/1": 1}
    assert back.line.seq > 0
    assert back.came_back is not None
    assert back.came_back.looked_at == ()


def test_what_was_known_beside_an_older_database_is_not_forgotten_by_its_backup(
    house, back_up, quick, new_house, helene
):
    factories.piece(by=helene)
    told = marks.Marks(marks.Mark(1, "0" * 64), {"wood/1": 7})
    marks.place().write_text(marks.as_text(told))

    restore(open_bundle(back_up().entry), new_house)

    back = marks.understood((new_house.data / "high-water.json").read_text())
    assert back.numbers["wood/1"] == 7
