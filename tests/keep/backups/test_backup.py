"""What a backup holds, what it refuses, and what it leaves when it cannot go on."""

from __future__ import annotations

import errno
import json
import os
import shutil
from collections import namedtuple
from pathlib import Path

import pytest

from repairs.audit.models import LogHead
from repairs.keep import carrying, entries, making
from repairs.keep.bag import open_bag
from repairs.keep.entries import alone_in
from repairs.keep.keys import Wanted, new_keeper_key
from repairs.keep.models import KeepRun
from repairs.keep.payload import Payload
from repairs.keep.refusals import (
    BackupBusyError,
    NoRoomError,
    PlaceInsideError,
    PlaceUnusableError,
)
from repairs.storage import files as store
from tests.keep.backups.checker import bagit

pytestmark = pytest.mark.django_db

Usage = namedtuple("Usage", "total used free")


def whole(entry: Path) -> dict[str, bytes]:
    """All files of an entry."""
    found = (path for path in entry.rglob("*") if path.is_file())
    return {path.relative_to(entry).as_posix(): path.read_bytes() for path in found}


def test_one_entry_holds_rows_files_settings_and_the_head_of_the_log(
    house_of_two, back_up, monkeypatch
):
    monkeypatch.setenv("SAUTEREAU_MAIL_PASSWORD", "geheim")
    monkeypatch.setenv("SAUTEREAU_BACKUP_AT", "03:00")

    made = back_up()

    said = entries.about(made.entry)
    head = LogHead.objects.get()
    run = KeepRun.objects.get()
    assert bagit.Bag(str(made.entry)).is_valid()
    assert (made.files_n, made.copied_n, made.missing, made.damaged) == (2, 2, (), ())
    assert said["log"]["seq"] == head.seq - 1  # the line of this very backup came after it
    assert (run.is_good, run.entry, run.trouble) == (True, made.entry.name, "")
    assert b"helene" in (made.entry / "data/database/repairs_user.jsonl").read_bytes()
    settings = json.loads((made.entry / "data/settings.json").read_bytes())
    assert settings["SAUTEREAU_BACKUP_AT"] == "03:00"
    assert not any(b"geheim" in data for data in whole(made.entry).values())
    assert "secret-key" in said["left_out"]


def test_an_unchanged_file_is_linked_and_not_read(house_of_two, back_up, monkeypatch):
    first = back_up()
    monkeypatch.setattr(carrying, "_copy", None)  # whoever copies now fails

    second = back_up()

    assert (second.files_n, second.copied_n) == (2, 0)
    assert bagit.Bag(str(second.entry)).is_valid()
    for name in house_of_two:
        inner = f"data/files/originals/{Path(name).name}"
        assert (first.entry / inner).samefile(second.entry / inner)
    shutil.rmtree(first.entry)  # each is whole by itself
    assert open_bag(second.entry).check()


def test_a_disk_without_hard_links_gets_copies(house_of_two, back_up, monkeypatch):
    def refused(*_places: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    back_up()
    monkeypatch.setattr(os, "link", refused)

    assert back_up().copied_n == 2


def test_a_new_and_a_changed_file_are_copied(house_of_two, back_up):
    back_up()
    store.keep(b"bridge", "originals", ".jpg")
    draft = store.path_of("inbox/one")
    draft.parent.mkdir()
    draft.write_bytes(b"half")
    assert back_up().copied_n == 2

    draft.write_bytes(b"half and half")

    made = back_up()
    assert made.copied_n == 1
    assert (made.entry / "data/files/inbox/one").read_bytes() == b"half and half"


def test_drafts_of_a_kill_are_not_kept(house_of_two, back_up):
    for name in ("originals/aa/x.jpg.0.part", "workplace/9/x.jpg"):
        store.path_of(name).parent.mkdir(parents=True, exist_ok=True)
        store.path_of(name).write_bytes(b"half")

    assert back_up().files_n == 2


def test_a_file_that_a_row_names_and_that_is_gone_is_told(photo, back_up):
    store.path_of(photo.original.file_name).unlink()

    made = back_up()

    assert made.missing == (photo.original.file_name,)
    assert photo.original.file_name in KeepRun.objects.get().trouble
    assert bagit.Bag(str(made.entry)).is_valid()


def test_in_the_place_of_a_rotten_file_the_good_one_of_before_is_kept(house_of_two, back_up):
    back_up()
    rotten = store.path_of(house_of_two[0])
    rotten.write_bytes(b"rot")

    made = back_up()

    inner = f"data/files/originals/{rotten.name}"
    assert made.damaged == (house_of_two[0],)
    assert (made.entry / inner).read_bytes() == b"front" * 999
    assert bagit.Bag(str(made.entry)).is_valid()


def test_rot_on_the_disk_of_the_backups_is_found_in_its_turn(house_of_two, back_up, monkeypatch):
    first = back_up()
    rotten = next((first.entry / "data/files/originals").iterdir())
    data = rotten.read_bytes()
    rotten.write_bytes(b"x" * len(data))  # same size
    monkeypatch.setattr(carrying, "TURN_DAYS", 1)

    second = back_up()

    assert second.copied_n == 1
    assert bagit.Bag(str(second.entry)).is_valid()


def test_only_the_newest_are_kept_and_another_houses_stay(house_of_two, back_up, disk):
    made = [back_up(keep_n=2) for _night in range(2)]
    other = disk / "sautereau-2001-01-01T000000Z"
    other.mkdir()
    (other / "entry.json").write_text('{"house": "another"}')
    (disk / "photos of a wedding").mkdir()

    made.append(back_up(keep_n=2))

    left = {path.name for path in disk.iterdir() if path.is_dir()}
    assert left == {made[1].entry.name, made[2].entry.name, other.name, "photos of a wedding"}
    assert bagit.Bag(str(made[2].entry)).is_valid()


@pytest.mark.parametrize("inner", ["", "backups", "media/backups", ".."])
def test_a_folder_inside_the_data_or_around_it_is_refused(own_data, helene, now, inner):
    with pytest.raises(PlaceInsideError, match="one disk would take both"):
        making.make_entry(own_data / inner, Wanted(), at=now)


def test_a_file_in_the_place_of_the_folder_is_said(tmp_path, helene, now):
    (tmp_path / "file").write_text("")

    with pytest.raises(PlaceUnusableError, match="cannot be written"):
        making.make_entry(tmp_path / "file", Wanted(), at=now)


def test_room_is_asked_about_before_anything_is_written(house_of_two, back_up, disk, monkeypatch):
    monkeypatch.setattr(shutil, "disk_usage", lambda _place: Usage(10**9, 10**9, 10**5))

    with pytest.raises(NoRoomError, match="Make room there"):
        back_up()

    assert [path.name for path in disk.iterdir()] == [entries.LOCK]
    assert KeepRun.objects.get().is_good is False


@pytest.mark.parametrize("step", range(4))
def test_a_disk_that_fills_on_the_way_leaves_nothing_half(
    house_of_two, back_up, disk, monkeypatch, step
):
    place, name = [
        (Payload, "put"),
        (Payload, "write"),
        (making, "write_bag"),
        (os, "sync"),
    ][step]
    monkeypatch.setattr(place, name, _full)

    with pytest.raises(NoRoomError):
        back_up()

    assert [path.name for path in disk.iterdir()] == [entries.LOCK]
    assert "Make room there" in KeepRun.objects.get().trouble


def _full(*_words: object, **_more: object) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


def test_two_at_once_are_not(house_of_two, back_up, disk):
    disk.mkdir()
    with alone_in(disk), pytest.raises(BackupBusyError, match="Wait until it has ended"):
        back_up()

    assert back_up().files_n == 2


def test_what_a_stopped_one_left_is_swept_and_nothing_else(house_of_two, back_up, disk):
    left = disk / "sautereau-2026-11-24T020000Z.part"
    left.mkdir(parents=True)
    (left / "bagit.txt").write_text("half")
    (disk / "notes.part").mkdir()

    made = back_up()

    assert made.swept == (left.name,)
    assert {path.name for path in disk.iterdir() if path.is_dir()} == {
        made.entry.name,
        "notes.part",
    }


def test_an_encrypted_entry_says_nothing_and_links_all_the_same(house_of_two, back_up, keepers):
    wanted = Wanted(recipients=tuple(public for _secret, public in keepers))
    first = back_up(wanted)

    second = back_up(wanted)

    assert (second.files_n, second.copied_n, second.is_encrypted) == (2, 0, True)
    assert bagit.Bag(str(second.entry)).is_valid()
    for name, data in whole(first.entry).items():
        assert b"helene" not in data, name
        assert b"frontfront" not in data, name
        assert house_of_two[0][-20:] not in name
        assert house_of_two[0][-20:].encode() not in data, name


def test_with_other_keepers_everything_is_encrypted_anew(house_of_two, back_up, keepers):
    both = tuple(public for _secret, public in keepers)
    back_up(Wanted(recipients=both))

    assert back_up(Wanted(recipients=(both[0], new_keeper_key()[1]))).copied_n == 2
    assert back_up().copied_n == 2  # and an open one never takes over what is locked
