"""Photos on their way: a whole form, or pieces that may be cut, doubled and taken up again."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.jobs.worker import Worker
from repairs.people.models import User
from repairs.photos import actions
from repairs.photos.models import Photo
from repairs.photos.upload_models import Upload
from repairs.storage import files as store
from tests import factories
from tests.photos import pictures
from tests.photos.conftest import files_in

pytestmark = pytest.mark.django_db

CUT = "The request was cut off. Try again."
GREW = "The file grew while it was sent. Choose it again."
HEAVY = "it has more than 1 MB. Send it at a smaller size."


@pytest.fixture
def data() -> bytes:
    return pictures.saved(pictures.noise(), "JPEG")


@pytest.fixture
def browser(client: Browser, armand: User) -> Browser:
    client.force_login(armand)
    return client


def begin(browser: Browser, case: Case, **said: Any) -> Any:
    facts = {"name": "IMG_1.jpg", "phase": "arrival", "view": "front", "modified": "17"} | said
    return browser.post(
        reverse("photos:begin", args=[case.number]), facts, content_type="application/json"
    )


def send(browser: Browser, case: Case, uuid: str, piece: bytes, offset: object) -> Any:
    address = reverse("photos:send", args=[case.number, uuid])
    return browser.post(
        f"{address}?offset={offset}", piece, content_type="application/octet-stream"
    )


def send_whole(browser: Browser, case: Case, data: bytes, **said: Any) -> Photo:
    uuid = begin(browser, case, size=len(data), **said).json()["upload"]
    answer = send(browser, case, uuid, data, 0).json()
    return Photo.objects.get(pk=answer["photo"])


def test_one_form_brings_eight_files_and_names_the_broken_one(browser: Browser, case: Case):
    good = [pictures.saved(pictures.noise(), "JPEG") for _index in range(7)]
    files = [SimpleUploadedFile(f"IMG_{n}.jpg", data) for n, data in enumerate(good)]
    files.insert(3, SimpleUploadedFile("IMG_broken.jpg", good[0][:900]))
    address = reverse("photos:add", args=[case.number])

    answer = browser.post(address, {"files": files, "phase": "arrival", "view": ""}, follow=True)
    assert "The photos are being checked" in answer.content.decode()
    Worker().run_all()
    page = browser.get(address).content.decode()

    states = list(Photo.objects.values_list("number", "state", "sent_name"))
    assert [state for _n, state, _name in states].count("ready") == 7
    assert states[3] == (4, "refused", "IMG_broken.jpg")
    assert "IMG_broken.jpg: <strong>it is damaged or was cut short on its way." in page
    names = Photo.objects.ready().values_list("original__file_name", flat=True)
    kept = [store.path_of(str(name)).read_bytes() for name in names]
    assert kept == good


def test_a_form_without_a_file_says_so(browser: Browser, case: Case):
    answer = browser.post(reverse("photos:add", args=[case.number]), {"phase": "arrival"})

    assert "Choose at least one photo." in answer.content.decode()
    assert not Upload.objects.exists()


def test_a_file_too_heavy_is_named_and_the_others_are_taken(browser: Browser, case: Case, settings):
    settings.PHOTO_MAX_BYTES = 1024 * 1024
    files = [
        SimpleUploadedFile("heavy.jpg", bytes(1024 * 1024 + 1)),
        SimpleUploadedFile("light.jpg", factories.jpeg()),
    ]
    address = reverse("photos:add", args=[case.number])

    answer = browser.post(address, {"files": files, "phase": "arrival"}, follow=True)
    alone = browser.post(
        address,
        {"files": [SimpleUploadedFile("big.jpg", bytes(2**20 + 1))], "phase": "arrival"},
        follow=True,
    )

    assert f"“heavy.jpg” was not kept: {HEAVY}" in answer.content.decode()
    assert [photo.sent_name for photo in Photo.objects.all()] == ["light.jpg"]
    assert "The photos are being checked" not in alone.content.decode()


def test_a_file_too_heavy_is_refused_before_its_first_piece(browser: Browser, case: Case, settings):
    settings.PHOTO_MAX_BYTES = 1024 * 1024

    answer = begin(browser, case, size=1024 * 1024 + 1)

    assert (answer.status_code, answer.json()) == (413, {"error": HEAVY})
    assert not Upload.objects.exists()


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


def test_a_file_of_no_bytes_is_refused_with_its_reason(browser: Browser, case: Case):
    photo = send_whole(browser, case, b"")
    Worker().run_all()

    address = reverse("photos:states", args=[case.number])
    state = browser.get(address, {"ids": str(photo.pk)}).json()["photos"][0]

    assert state["state"] == "refused"
    assert state["message"] == "it is empty. Take the photo again or send it once more."


def test_the_states_tell_what_became_of_each(browser: Browser, case: Case, vielle, armand: User):
    ready = factories.photo(case, by=armand)
    broken = factories.photo(case, by=armand, data=factories.jpeg()[:500])
    waiting = factories.upload(case, factories.jpeg(seed=2), by=armand).photo
    hidden = factories.photo(factories.case(vielle, by=armand), by=armand)
    assert waiting is not None
    ids = [ready.pk, broken.pk, waiting.pk, hidden.pk]
    words = ",".join(map(str, ids)) + ",²,x,," + "9" * 30

    answer = browser.get(reverse("photos:states", args=[case.number]), {"ids": words})

    told = {row["id"]: row for row in answer.json()["photos"]}
    assert set(told) == {ready.pk, broken.pk, waiting.pk}
    assert told[ready.pk] == {
        "id": ready.pk,
        "state": "ready",
        "message": "",
        "thumb": f"/cases/{case.number}/photos/{ready.number}/320.jpg",
    }
    assert told[broken.pk]["message"].startswith("it is damaged")
    assert (told[waiting.pk]["state"], told[waiting.pk]["thumb"]) == ("waiting", "")


@pytest.mark.parametrize("body", [b"", b"{", b"[1, 2]", b"null", b'"x"', b"\xff\xfe", b"[" * 90000])
def test_a_beginning_that_cannot_be_read_is_refused(browser: Browser, case: Case, body: bytes):
    answer = browser.generic(
        "POST", reverse("photos:begin", args=[case.number]), body, "application/json"
    )

    assert answer.status_code == 400
    assert json.loads(answer.content)["error"].endswith(".")
    assert not Upload.objects.exists()


@pytest.mark.parametrize(
    "said", [{"size": -1}, {"size": "x"}, {"size": [1]}, {"phase": "never"}, {"view": "inside-out"}]
)
def test_a_beginning_that_makes_no_sense_is_refused(browser: Browser, case: Case, said):
    answer = begin(browser, case, **({"size": 10} | said))

    assert answer.status_code == 400
    assert not Upload.objects.exists()


@pytest.mark.parametrize(
    "name", ["été 🎻 (1).jpg", "a" * 300 + ".jpg", "half\ud83c.jpg", "../../etc/passwd", "<b>x</b>"]
)
def test_a_file_may_have_any_name(browser: Browser, case: Case, data: bytes, name):
    photo = send_whole(browser, case, data, name=name)
    Worker().run_all()

    assert Photo.objects.get(pk=photo.pk).state == "ready"
    assert len(photo.sent_name) <= 200
    assert "<b>x" not in browser.get(reverse("photos:add", args=[case.number])).content.decode()


def test_the_page_gives_the_script_its_addresses(browser: Browser, case: Case, settings):
    """The script puts the upload's own uuid in the place of the zeros."""
    page = browser.get(reverse("photos:add", args=[case.number])).content.decode()
    zeros = "00000000-0000-0000-0000-000000000000"
    script = (settings.BASE_DIR / "repairs/static/repairs/js/upload/transfer.js").read_text()

    assert f'data-send="/cases/{case.number}/photos/send/{zeros}/"' in page
    assert f'NO_UUID = "{zeros}"' in script
    assert "urls.send.replace(NO_UUID, this.upload)" in script


@pytest.mark.parametrize(
    ("who", "status"), [("odile", 403), ("tom", 403), ("lise", 200), ("helene", 200)]
)
def test_who_may_send(client: Browser, case: Case, request, data: bytes, who, status):
    client.force_login(request.getfixturevalue(who))

    answers = [
        client.get(reverse("photos:add", args=[case.number])),
        begin(client, case, size=len(data)),
    ]

    assert [answer.status_code for answer in answers] == [status, status]
    assert Upload.objects.exists() == (status == 200)
