"""Photos on their way by a form, what becomes of each, and what is refused."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse

from repairs.cases.models import Case
from repairs.jobs.worker import Worker
from repairs.people.models import User
from repairs.photos.models import Photo
from repairs.photos.upload_models import Upload
from repairs.storage import files as store
from tests import factories
from tests.photos import pictures
from tests.photos.sending import begin, send

pytestmark = pytest.mark.django_db
HEAVY = "it has more than 1 MB. Send it at a smaller size."


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
