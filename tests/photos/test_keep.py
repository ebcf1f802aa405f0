"""Originals are what was sent, once, whatever happens between the files and the rows."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.cases.models import Case
from repairs.jobs.models import Job
from repairs.jobs.worker import Worker
from repairs.people.models import User
from repairs.photos import actions, development, keeping, tasks
from repairs.photos.darkroom import SIZES
from repairs.photos.models import Original, Photo
from repairs.storage import files as store
from tests import factories
from tests.photos.conftest import files_in

pytestmark = pytest.mark.django_db


def test_the_original_is_byte_for_byte_what_was_sent(case: Case, armand: User):
    data = factories.jpeg(seed=5)

    photo = factories.photo(case, by=armand, data=data)

    original = Photo.objects.get(pk=photo.pk).original
    assert original is not None
    kept = store.path_of(original.file_name).read_bytes()
    assert kept == data
    assert hashlib.sha256(kept).hexdigest() == original.sha256
    assert original.sha256 in original.file_name
    assert files_in("inbox") == files_in("workplace") == []
    assert LogEntry.objects.filter(verb="photo.added", details__sha256=original.sha256).exists()


def test_the_same_file_twice_in_a_case_is_kept_once_and_named(case: Case, armand: User):
    data = factories.jpeg()
    first = factories.photo(case, by=armand, data=data)

    second = factories.photo(case, by=armand, data=data)

    assert (second.number, second.state) == (first.number + 1, "refused")
    assert second.refusal_text == (
        f"it is the same file as photo {first.number}, which is already here: kept once."
    )
    assert Original.objects.count() == len(files_in("originals")) == 1
    assert files_in("inbox") == []


def test_another_case_shares_the_original(case: Case, vielle, armand: User):
    data = factories.jpeg()
    other = factories.case(vielle, by=armand)

    here = factories.photo(case, by=armand, data=data)
    there = factories.photo(other, by=armand, data=data)

    assert [here.state, there.state] == ["ready", "ready"]
    assert here.original_id == there.original_id
    assert len(files_in("originals")) == 1
    assert len(files_in("derived")) == len(SIZES)


def test_a_withdrawn_photo_does_not_stand_in_the_way_of_its_file(case: Case, armand: User):
    data = factories.jpeg()
    first = factories.photo(case, by=armand, data=data)
    actions.set_withdrawn(first, True, by=armand, at=timezone.now())

    again = factories.photo(case, by=armand, data=data)

    assert again.state == "ready"
    assert again.number == first.number + 1


def _once(monkeypatch, place: object, name: str) -> None:
    """The named function fails the first time, as when the power goes, and then works."""
    real = getattr(place, name)
    calls: list[int] = []

    def flaky(*args: object, **kwargs: object) -> object:
        calls.append(1)
        if len(calls) == 1:
            raise OSError("the power went")
        return real(*args, **kwargs)

    monkeypatch.setattr(place, name, flaky)


@pytest.mark.parametrize(
    ("place", "name"),
    [
        (development, "record"),
        (keeping, "write_sizes"),
        (keeping, "adopt_sizes"),
        (development, "developed"),
    ],
    ids=["log", "rows", "move", "darkroom"],
)
def test_a_job_cut_off_between_files_and_rows_keeps_the_photo_when_run_again(
    case: Case, armand: User, monkeypatch, caplog, place, name
):
    data = factories.jpeg(seed=9)
    upload = factories.upload(case, data, by=armand)
    _once(monkeypatch, place, name)

    Worker().run_one()
    waiting = Photo.objects.select_related("original").get(upload=upload)
    assert waiting.state == "waiting" and waiting.original is not None
    assert store.path_of(waiting.original.file_name).read_bytes() == data

    Job.objects.update(not_before=timezone.now())
    Worker().run_all()

    kept = Photo.objects.get(upload=upload)
    assert kept.state == "ready" and kept.original is not None
    assert store.path_of(kept.original.file_name).read_bytes() == data
    assert len(files_in("originals")) == 1 and len(files_in("derived")) == len(SIZES)
    assert files_in("inbox") == files_in("workplace") == []
    assert Job.objects.get().state == "done"


def test_running_the_job_twice_does_no_harm(case: Case, armand: User):
    upload = factories.upload(case, factories.jpeg(), by=armand)
    tasks.develop(upload.pk, progress=lambda done, total: None)
    once = Photo.objects.values().get()

    tasks.develop(upload.pk, progress=lambda done, total: None)

    assert Photo.objects.values().get() == once
    assert LogEntry.objects.filter(verb="photo.added").count() == 1


def test_a_job_cut_off_after_its_last_write_leaves_no_file_behind(case: Case, armand: User):
    data = factories.jpeg()
    upload = factories.upload(case, data, by=armand)
    tasks.develop(upload.pk, progress=lambda done, total: None)
    upload.path.write_bytes(data)

    tasks.develop(upload.pk, progress=lambda done, total: None)

    assert files_in("inbox") == []


def test_the_store_keeps_the_same_content_once():
    digest, name = store.keep(b"brass", "papers", ".bin")

    again = store.keep(b"brass", "papers", ".bin")

    assert again == (digest, name)
    assert name == f"papers/{digest[:2]}/{digest[2:4]}/{digest}.bin"
    assert [path.read_bytes() for path in files_in("papers")] == [b"brass"]


def test_a_file_that_cannot_be_written_whole_is_not_there(monkeypatch):
    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        with pytest.raises(OSError, match="No space"):
            store.keep(b"brass", "papers", ".bin")
    assert files_in("papers") == []

    store.keep(b"brass", "papers", ".bin")

    assert [path.read_bytes() for path in files_in("papers")] == [b"brass"]


def test_adopting_moves_a_finished_file_once(tmp_path):
    digest = hashlib.sha256(b"wood").hexdigest()
    names = []
    for number in (1, 2):
        source = tmp_path / f"made-{number}"
        source.write_bytes(b"wood")
        names.append(store.adopt(source, "derived", digest, "-320.jpg"))
        assert not source.exists()

    assert names[0] == names[1]
    assert [path.read_bytes() for path in files_in("derived")] == [b"wood"]


@pytest.mark.parametrize("rotten", [b"", b"wooo", b"rotten wood"], ids=["empty", "bits", "longer"])
def test_a_file_that_rotted_in_the_store_is_not_believed(tmp_path, rotten):
    source = tmp_path / "made"
    digest, name = store.keep(b"wood", "papers", ".bin")

    store.path_of(name).write_bytes(rotten)
    store.keep(b"wood", "papers", ".bin")
    assert store.path_of(name).read_bytes() == b"wood"

    store.path_of(name).write_bytes(rotten)
    source.write_bytes(b"wood")
    store.adopt(source, "papers", digest, ".bin")
    assert store.path_of(name).read_bytes() == b"wood"


def test_a_kept_file_and_every_folder_on_its_way_are_on_the_disk(monkeypatch):
    synced, real = set(), os.fsync

    def watched(handle: int) -> None:
        synced.add(str(Path(f"/proc/self/fd/{handle}").readlink()))
        real(handle)

    monkeypatch.setattr(os, "fsync", watched)

    _digest, name = store.keep(b"brass", "papers", ".bin")

    place = store.path_of(name)
    on_the_way = {str(folder) for folder in place.parents if folder.is_relative_to(store.root())}
    assert on_the_way <= synced
    assert any(word.startswith(f"{place}.") and word.endswith(".part") for word in synced)


@pytest.mark.parametrize("name", ["../outside", "originals/../../outside", "/etc/hostname"])
def test_a_path_that_leads_outside_the_store_is_refused(name):
    with pytest.raises(ValueError, match="lies outside the store"):
        store.path_of(name)


def test_a_link_out_of_the_store_is_refused(tmp_path):
    outside = tmp_path / "outside"
    outside.mkdir()
    store.root().mkdir(parents=True)
    (store.root() / "originals").symlink_to(outside)

    with pytest.raises(ValueError, match="lies outside the store"):
        store.keep(b"brass", "originals", ".jpg")
    assert list(outside.iterdir()) == []
