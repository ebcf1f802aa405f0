"""A file in pieces that may be cut, doubled and taken up again."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from itertools import pairwise

import pytest
from django.test import Client as Browser
from django.utils import timezone

from repairs.cases.models import Case
from repairs.jobs.worker import Worker
from repairs.people.models import User
from repairs.photos import actions
from repairs.photos.models import Photo
from repairs.photos.upload_models import Upload
from repairs.storage import files as store
from tests import factories
from tests.photos.conftest import files_in
from tests.photos.sending import begin, send

pytestmark = pytest.mark.django_db
CUT = "The request was cut off. Try again."
GREW = "The file grew while it was sent. Choose it again."


def test_three_pieces_of_different_sizes_make_the_file(browser: Browser, case: Case, data: bytes):
    uuid = begin(browser, case, size=len(data)).json()["upload"]
    cuts = [0, 700, 5000, len(data)]

    answers = [
        send(browser, case, uuid, data[start:end], start).json() for start, end in pairwise(cuts)
    ]

    assert [answer["offset"] for answer in answers] == cuts[1:]
    assert [answer["done"] for answer in answers] == [False, False, True]
    Worker().run_all()
    photo = Photo.objects.select_related("original").get(pk=answers[-1]["photo"])
    assert photo.original is not None
    assert store.path_of(photo.original.file_name).read_bytes() == data
    assert (photo.view, photo.phase, photo.sent_name) == ("front", "arrival", "IMG_1.jpg")


def test_a_piece_at_the_wrong_place_is_told_the_right_one(browser: Browser, case: Case, data):
    uuid = begin(browser, case, size=len(data)).json()["upload"]
    send(browser, case, uuid, data[:1000], 0)

    for offset in (0, 999, 1001):
        answer = send(browser, case, uuid, data[offset : offset + 10], offset)
        assert (answer.status_code, answer.json()["offset"]) == (409, 1000)

    assert Upload.objects.get().path.read_bytes() == data[:1000]


def test_the_last_piece_sent_twice_is_the_same_photo(browser: Browser, case: Case, data: bytes):
    uuid = begin(browser, case, size=len(data)).json()["upload"]
    first = send(browser, case, uuid, data, 0)
    again = send(browser, case, uuid, data, 0)
    Worker().run_all()
    late = send(browser, case, uuid, data, 0)

    assert first.json() == again.json() == late.json()
    assert first.json()["done"] is True
    assert Photo.objects.count() == 1
    assert files_in("inbox") == []


def test_a_piece_that_races_with_its_double_is_written_once(case: Case, armand: User):
    piece = bytes(range(256)) * 200
    upload = actions.open_upload(
        Upload(case=case, by=armand, name="a.jpg", size_bytes=2 * len(piece), phase="arrival"),
        at=timezone.now(),
    )
    together, written = threading.Barrier(4), []

    def slowly() -> Iterator[bytes]:
        for start in range(0, len(piece), 4096):
            yield piece[start : start + 4096]

    def one() -> None:
        together.wait(10)
        written.append(actions.append(upload, slowly(), offset=0))

    threads = [threading.Thread(target=one) for _index in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(10)

    assert sorted(written) == [False, False, False, True]
    assert upload.path.read_bytes() == piece


def test_a_double_that_comes_after_development_writes_nothing(case: Case, armand: User, data):
    upload = factories.upload(case, data, by=armand)
    Worker().run_all()

    assert actions.append(upload, [data], offset=0) is False
    assert files_in("inbox") == []


def test_a_transfer_that_was_cut_goes_on_from_there(browser: Browser, case: Case, data: bytes):
    first = begin(browser, case, size=len(data), view="front").json()
    send(browser, case, first["upload"], data[:3000], 0)

    again = begin(browser, case, size=len(data), view="back", phase="before").json()

    assert again == {"upload": first["upload"], "offset": 3000}
    done = send(browser, case, again["upload"], data[3000:], 3000).json()
    Worker().run_all()
    photo = Photo.objects.select_related("original").get(pk=done["photo"])
    assert photo.original is not None
    assert store.path_of(photo.original.file_name).read_bytes() == data
    assert (photo.view, photo.phase) == ("back", "before")


def test_another_file_of_that_name_is_another_upload(browser: Browser, case: Case, data: bytes):
    first = begin(browser, case, size=len(data)).json()
    send(browser, case, first["upload"], data[:3000], 0)

    others = [
        begin(browser, case, size=len(data) + 1).json(),
        begin(browser, case, size=len(data), modified="18").json(),
        begin(browser, case, size=len(data), name="IMG_2.jpg").json(),
    ]

    assert len({answer["upload"] for answer in [first, *others]}) == 4
    assert {answer["offset"] for answer in others} == {0}


def test_more_bytes_than_were_said_are_refused(browser: Browser, case: Case, data: bytes):
    uuid = begin(browser, case, size=1000).json()["upload"]
    send(browser, case, uuid, data[:600], 0)

    answer = send(browser, case, uuid, data[600:1001], 600)

    assert (answer.status_code, answer.json()) == (400, {"error": GREW})
    assert Upload.objects.get().path.read_bytes() == data[:600]


@pytest.mark.parametrize("offset", ["", "-1", "x", "²", "1.0", "9" * 40])
def test_a_place_that_is_no_number_is_refused(browser: Browser, case: Case, offset):
    uuid = begin(browser, case, size=10).json()["upload"]

    assert send(browser, case, uuid, b"12345", offset).status_code == 400


def test_someone_else_s_upload_is_not_there(
    browser: Browser, case: Case, vielle, helene: User, armand: User, data: bytes
):
    uuid = begin(browser, case, size=len(data)).json()["upload"]
    other = factories.case(vielle, by=armand)
    assert send(browser, other, uuid, data, 0).status_code == 404

    browser.force_login(helene)

    assert send(browser, case, uuid, data, 0).status_code == 404
    assert begin(browser, case, size=len(data)).json()["upload"] != uuid
    assert Upload.objects.get(uuid=uuid).offset == 0
