"""What is too large, or has no length, is refused before a byte of it is read."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.test import RequestFactory
from django.urls import reverse

from repairs.press import verify
from repairs.press.forms import MOST_BYTES
from repairs.press.views import FILES
from repairs.screens.body_size import STRANGERS_MOST, BodySizeMiddleware

MB = 1024 * 1024


class Unread(BytesIO):
    """A body that fails whoever reads it."""

    def read(self, *size: Any) -> bytes:
        raise AssertionError("the body was read")

    readline = read


def post(browser: Browser, name: str, length: int | str, **more: Any) -> Any:
    return browser.generic(
        "POST",
        reverse(name),
        b"",
        content_type="multipart/form-data; boundary=x",
        **{"wsgi.input": Unread(), "CONTENT_LENGTH": str(length), **more},
    )


@pytest.mark.parametrize(
    ("name", "length"),
    [
        ("people:sign_in", STRANGERS_MOST + 1),
        ("people:language", 100 * MB),
        ("press:verify", MOST_BYTES + 1),
        ("people:client_add", 2 * MB),
    ],
)
def test_a_stranger_s_large_body_is_not_read(client, db, name, length):
    answer = post(client, name, length)

    assert answer.status_code == 413
    assert "no more than" in answer.text
    assert f"{-(-length // MB)} MB" in answer.text


def test_who_signed_in_may_send_a_form_of_photos_and_no_more(client, armand, settings):
    client.force_login(armand)

    assert post(client, "people:client_add", settings.BODY_MAX_BYTES + 1).status_code == 413
    assert post(client, "people:client_add", settings.BODY_MAX_BYTES).status_code == 200


def test_a_body_without_a_length_is_not_read(client, db):
    answer = post(client, "press:verify", "", HTTP_TRANSFER_ENCODING="chunked")

    assert answer.status_code == 411
    assert "The length of what was sent is not told." in answer.text


def test_large_files_of_one_address_are_braked_before_they_are_read(client, db, monkeypatch):
    monkeypatch.setattr("repairs.screens.throttle.time.time", lambda: 1_800_000_000.0)
    for _file in range(FILES.free + 1):
        assert FILES.count("127.0.0.1") == 0

    answer = post(client, "press:verify", 2 * MB)

    assert answer.status_code == 429
    assert "Too many tries from this address. Try again in 10 seconds." in answer.text


def test_what_is_refused_is_not_waited_for():
    class Socket:
        left = False

        def leave_unread(self) -> None:
            self.left = True

    sock = Socket()
    request = RequestFactory().post("/sign-in/", CONTENT_LENGTH=str(9 * MB))
    request.META["gunicorn.socket"] = sock
    request.user = Stranger()  # type: ignore[assignment]

    answer = BodySizeMiddleware(lambda _request: None)(request)  # type: ignore[arg-type,return-value]

    assert (answer.status_code, sock.left) == (413, True)


class Stranger:
    is_authenticated = False


@pytest.mark.parametrize(("language", "words"), [("en", "MB are taken here"), ("fr", "Mo")])
def test_the_page_is_in_the_reader_s_language(client, db, language, words):
    client.cookies["django_language"] = language

    assert words in post(client, "people:sign_in", 5 * MB).text


def test_of_a_file_only_the_ends_are_searched_and_few_codes_asked_for(
    client, db, django_assert_max_num_queries
):
    codes = b" ".join(b"%04d-ABCD-EFGH" % number for number in range(2222, 9000))
    heavy = SimpleUploadedFile("x.pdf", b"%PDF-1.7 " + codes * 50)

    with django_assert_max_num_queries(12):
        answer = client.post(reverse("press:verify"), {"file": heavy})

    assert "Not known here" in answer.text


@pytest.mark.django_db
def test_a_file_is_never_held_whole():
    import tracemalloc  # noqa: PLC0415 - costs whoever loads it

    piece = b"2" * 65536
    tracemalloc.start()
    verify.check_upload(piece for _time in range(512))
    _now, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()

    assert most < 8 * MB
