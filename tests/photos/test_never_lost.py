"""A photo that was said to have come is never lost, whatever dies or fills up after it."""

from __future__ import annotations

import errno
import hashlib
import sys
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from repairs.audit.models import LogEntry
from repairs.cases.models import Case
from repairs.jobs.models import Job
from repairs.jobs.worker import Worker
from repairs.measures.killed.full_disk import full_at
from repairs.people.models import User
from repairs.photos import actions, darkroom, developing, development, keeping
from repairs.photos.derivative_models import Derivative
from repairs.photos.models import Original, Photo
from repairs.photos.upload_models import Upload
from repairs.storage import files as store
from tests import factories
from tests.beside import beside, ready, shared_database
from tests.photos import pictures
from tests.photos.conftest import files_in
from tests.photos.sending import begin, send

pytestmark = pytest.mark.django_db


def whole_originals() -> dict[str, bytes]:
    """Every original that lies in the store, by its hash, each what its name says."""
    found = {path.stem: path.read_bytes() for path in files_in("originals")}
    assert all(hashlib.sha256(data).hexdigest() == stem for stem, data in found.items())
    return found


def no_photo_without_its_original() -> None:
    kept = whole_originals()
    for photo in Photo.objects.exclude(state="refused").select_related("original"):
        assert photo.original is not None
        assert photo.original.sha256 in kept, f"photo {photo.number} was lost"


def run_out_of_tries() -> None:
    for _attempt in range(3):
        Job.objects.filter(state="waiting").update(not_before=timezone.now())
        Worker().run_all()


def test_the_original_is_kept_before_anything_is_said(browser: Browser, case: Case, data: bytes):
    uuid = begin(browser, case, size=len(data)).json()["upload"]

    answer = send(browser, case, uuid, data, 0).json()

    assert answer["done"]
    original = Photo.objects.get(pk=answer["photo"]).original
    assert original is not None
    assert whole_originals() == {original.sha256: data}
    assert files_in("inbox") == []


@pytest.mark.parametrize(
    ("program", "code"),
    [
        ("import os; input(); os.kill(os.getpid(), 9)", "crashed"),
        ("import time; time.sleep(60)", "too_slow"),
    ],
    ids=["killed", "hangs"],
)
def test_a_darkroom_that_dies_every_time_ends_in_a_list_and_a_button(
    browser: Browser, case: Case, armand: User, data, monkeypatch, caplog, program, code
):
    own = developing.Darkroom(time_limit_s=0.2 if code == "too_slow" else 20)
    monkeypatch.setattr(development, "darkroom", lambda: own)
    upload = factories.upload(case, data, by=armand)
    with monkeypatch.context() as patch:
        patch.setattr(developing, "COMMAND", [sys.executable, "-c", program])
        run_out_of_tries()
    own.time_limit_s = 20

    photo = Photo.objects.get(upload=upload)
    assert (photo.state, photo.refusal) == ("failed", code)
    no_photo_without_its_original()
    verbs = list(LogEntry.objects.values_list("verb", flat=True))
    assert verbs.count("photo.failed") == 1 and "photo.refused" not in verbs
    for address in (
        photo.get_absolute_url(),
        case.get_absolute_url(),
        reverse("keep:failed"),
    ):
        page = browser.get(address).content.decode()
        assert "three times" in page and "Try again" in page, address
    gallery = browser.get(reverse("photos:add", args=[case.number])).content.decode()
    assert f'<a href="{photo.get_absolute_url()}">could not be developed</a>' in gallery

    again = browser.post(reverse("photos:develop", args=[case.number, photo.number]), follow=True)
    assert "is being developed once more" in again.content.decode()
    Worker().run_all()
    own.close()

    assert Photo.objects.get().state == "ready"
    assert Job.objects.get().state == "done"
    shown: Any = browser.get(photo.address(320))
    assert b"".join(shown.streaming_content)


@pytest.mark.parametrize("fails", ["save", "read_bytes"])
def test_a_full_disk_in_the_darkroom_is_no_fault_of_the_photo(tmp_path, monkeypatch, data, fails):
    (tmp_path / "sent").write_bytes(data)
    place = Image.Image if fails == "save" else Path

    def full(*_args: object, **_kwargs: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(place, fails, full)
    asked = {"source": tmp_path / "sent", "folder": tmp_path, "most_pixels": 10**8}

    assert darkroom.answer(asked) == {"trouble": "no_room"}


def _sent(browser: Browser, case: Case, data: bytes) -> int | None:
    """Send in two pieces as the browser does; the photo, if the house said that it has it."""
    begun = begin(browser, case, size=len(data))
    if begun.status_code != 200:
        assert begun.status_code == 507, begun.content
        return None
    uuid, offset = begun.json()["upload"], begun.json()["offset"]
    for _piece in range(4):
        answer = send(browser, case, uuid, data[offset : offset + len(data) // 2 + 1], offset)
        said = answer.json()
        if answer.status_code == 507:
            assert "is full" in said["error"]
            return None
        assert answer.status_code in (200, 409)
        if said["done"]:
            return int(said["photo"])
        offset = said["offset"]
    raise AssertionError("the pieces come to no end")


@pytest.mark.share(2)
@pytest.mark.parametrize("until", ["told", "developed"])
def test_a_disk_that_fills_at_any_step_loses_nothing_that_was_acknowledged(
    browser: Browser, case: Case, monkeypatch, caplog, until
):
    steps = 0
    for at in count(1):
        data = factories.jpeg(seed=at, width=120, height=90)
        with full_at(at) as disk:
            photo = _sent(browser, case, data)
            if until == "developed" and photo is not None:
                Worker().run_one()
        no_photo_without_its_original()
        assert not list(store.root().rglob("*.part"))
        if photo is None:  # there is room again, and the browser goes on
            photo = _sent(browser, case, data)
        run_out_of_tries()

        assert photo is not None
        row = Photo.objects.select_related("original").get(pk=photo)
        assert row.state == "ready" and row.original is not None, (at, row.refusal_text)
        assert store.path_of(row.original.file_name).read_bytes() == data
        steps += 1
        if not disk.was_full:
            break
    assert steps > 12
    assert files_in("inbox") == files_in("workplace") == []
    assert Photo.objects.count() == steps


def test_the_form_without_javascript_says_that_the_disk_is_full(
    browser: Browser, case: Case, monkeypatch, data
):
    address = reverse("photos:add", args=[case.number])
    sent = {"files": SimpleUploadedFile("IMG_1.jpg", data), "phase": "arrival", "view": ""}
    with full_at(5):
        answer = browser.post(address, sent)
    page = browser.get(answer["Location"]).content.decode()

    assert "The disk of the casebook is full, so “IMG_1.jpg” was not kept." in page
    assert not Photo.objects.exists()


def test_rows_that_cannot_be_written_leave_the_upload_to_be_sent_again(
    browser: Browser, case: Case, data: bytes, monkeypatch
):
    uuid = begin(browser, case, size=len(data)).json()["upload"]
    browser.raise_request_exception = False

    def full(*_args: object, **_kwargs: object) -> None:
        raise RuntimeError("database or disk is full")

    with monkeypatch.context() as patch:
        patch.setattr(actions, "enqueue", full)
        failed = send(browser, case, uuid, data, 0)
    again = send(browser, case, uuid, data, 0)  # what the browser believes is not there yet
    rest = send(browser, case, uuid, b"", len(data)).json()

    assert (failed.status_code, again.status_code) == (500, 409)
    assert rest["done"]
    no_photo_without_its_original()


def test_a_refused_file_goes_only_after_its_refusal(case: Case, armand: User, monkeypatch):
    upload = factories.upload(case, b"Dear Sir", by=armand)
    (digest,) = whole_originals()

    def killed(_original: Original) -> None:
        assert Photo.objects.get().state == "refused"
        assert digest in whole_originals()
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(keeping, "let_go", killed)
        with pytest.raises(KeyboardInterrupt):
            development.develop(upload)
    assert whole_originals()  # it is swept as a file of which no photo is left


def test_two_photos_of_one_bad_file_are_both_refused_and_the_last_takes_it_along(
    case: Case, vielle, armand: User
):
    other = factories.case(vielle, by=armand)
    first, second = (factories.upload(each, b"Dear Sir", by=armand) for each in (case, other))

    development.develop(first)
    assert len(whole_originals()) == 1

    development.develop(second)
    assert whole_originals() == {} and not Original.objects.exists()


def test_an_original_that_rotted_before_it_was_developed_is_not_refused(
    case: Case, armand: User, caplog
):
    upload = factories.upload(case, factories.jpeg(), by=armand)
    (path,) = files_in("originals")
    path.write_bytes(path.read_bytes()[:700])

    run_out_of_tries()

    photo = Photo.objects.get(upload=upload)
    assert (photo.state, photo.refusal) == ("failed", "changed")
    assert "the file was changed" in photo.refusal_text


@pytest.mark.parametrize("harm", ["missing", "changed"])
def test_to_send_a_photo_again_mends_its_original(
    case: Case, vielle, armand: User, browser: Browser, harm
):
    data = factories.jpeg()
    factories.photo(case, by=armand, data=data)
    (path,) = files_in("originals")
    if harm == "missing":
        path.unlink()
    else:
        path.write_bytes(b"something else")

    twin = factories.photo(case, by=armand, data=data)

    assert twin.refusal == "twice"
    assert whole_originals() == {hashlib.sha256(data).hexdigest(): data}


def test_a_photo_that_a_former_release_left_in_the_inbox_is_developed(case: Case, armand: User):
    data = factories.jpeg()
    upload = factories.upload(case, data, by=armand)
    upload.path.write_bytes(data)  # as it lay there while it waited
    Photo.objects.update(original=None)
    (path,) = files_in("originals")
    path.unlink()
    Original.objects.all().delete()

    Worker().run_all()

    assert Photo.objects.get().state == "ready"
    assert list(whole_originals().values()) == [data]
    assert files_in("inbox") == []


def test_every_size_is_kept_with_the_hash_of_its_own_bytes(photo: Photo):
    rows = Derivative.objects.select_related("original")

    for row in rows:
        kept = store.path_of(row.original.derivative(row.longest_px)).read_bytes()
        assert hashlib.sha256(kept).hexdigest() == row.sha256
        assert len(kept) == row.size_bytes
    assert sorted(row.longest_px for row in rows) == sorted(darkroom.SIZES)


def complete_one(pk: str) -> None:
    """In a process beside: the last piece has come."""
    ready()
    photo = actions.complete(Upload.objects.get(pk=pk), at=timezone.now())
    sys.stdout.write(f"{photo.pk}\n")


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("senders", ["of one upload", "of the same photo"])
def test_two_at_once_keep_one_original(tmp_path, case: Case, armand: User, senders):
    data = pictures.saved(pictures.noise(), "JPEG")
    rows = []
    for _sender in range(2 if senders == "of the same photo" else 1):
        row = Upload(case=case, by=armand, name="a.jpg", size_bytes=len(data), phase="arrival")
        actions.open_upload(row, at=timezone.now())
        actions.append(row, [data], offset=0)
        rows.append(row)
    with shared_database(tmp_path) as address:
        place = "tests.photos.test_never_lost:complete_one"
        with (
            beside(place, str(rows[0].pk), database=address, folder=tmp_path) as one,
            beside(place, str(rows[-1].pk), database=address, folder=tmp_path) as other,
        ):
            for process in (one, other):
                process.hear()
            for process in (one, other):
                process.go()
            told = {one.end(), other.end()}
        Worker().run_all()

        states = sorted(Photo.objects.values_list("state", flat=True))
        wanted = ["ready"] if len(rows) == 1 else ["ready", "refused"]
        assert (len(told), states) == (len(rows), wanted)
        assert list(whole_originals().values()) == [data]
        assert files_in("inbox") == []
