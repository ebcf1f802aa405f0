"""What is not kept: each with its sentence, and with nothing left behind."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable

import pytest
import weasyprint
from PIL import ImageFile

from repairs.jobs.troubles import TroubleError
from repairs.photos import developing, development
from repairs.photos.developing import Darkroom
from repairs.photos.models import REFUSALS, REFUSALS_OF_OLD, Original, Photo
from repairs.photos.upload_models import Upload
from repairs.storage import files as store
from tests.photos import pictures
from tests.photos.conftest import Develop, files_in

pytestmark = pytest.mark.django_db

DAMAGED = "it is damaged or was cut short on its way. Send it once more."
OTHER = "it is not of a kind that is kept here. Send a JPEG, PNG, WebP or HEIC."
NOTHING = "it is not a picture, whatever its name says."
DRAWING = "it is a vector drawing, not a photo. Send a JPEG, PNG, WebP or HEIC."
SVG = b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>'
FILM = b"\0\0\0\x14ftypqt  \0\0\0\0qt  " + bytes(200)


def too_large(megapixels: int) -> str:
    return f"it has {megapixels} megapixels and at most 120 can be kept. Send it at a smaller size."


def noisy(kind: str) -> bytes:
    return pictures.saved(pictures.noise(), kind)


def half(data: bytes) -> bytes:
    return data[: len(data) // 2]


BAD: dict[str, tuple[Callable[[], bytes], str]] = {
    "200 megapixels": (lambda: pictures.png_of(20000, 10000), too_large(200)),
    "121 megapixels": (lambda: pictures.png_of(12100, 10000), too_large(121)),
    "jpeg with a huge header": (lambda: pictures.jpeg_claiming(65500, 65500), too_large(4290)),
    "heic with a huge header": (lambda: pictures.heic_claiming(60000, 60000), too_large(3600)),
    "heic just too large": (lambda: pictures.heic_claiming(12000, 10100), too_large(121)),
    "half a jpeg": (lambda: half(noisy("JPEG")), DAMAGED),
    "jpeg without its end": (lambda: noisy("JPEG")[:-20], DAMAGED),
    "head of a jpeg": (lambda: noisy("JPEG")[:12], DAMAGED),
    "half a png": (lambda: half(noisy("PNG")), DAMAGED),
    "png without its end": (lambda: noisy("PNG")[:-20], DAMAGED),
    "half a webp": (lambda: half(noisy("WEBP")), DAMAGED),
    "half a heic": (lambda: half(noisy("HEIF")), DAMAGED),
    "heic that lies about its size": (lambda: pictures.heic_claiming(100, 100), DAMAGED),
    "text": (lambda: b"Dear Sir, please find my fiddle enclosed.\n", NOTHING),
    "drawing": (lambda: SVG, DRAWING),
    "empty": (lambda: b"", "it is empty. Take the photo again or send it once more."),
    "gif": (lambda: noisy("GIF"), OTHER),
    "tiff": (lambda: noisy("TIFF"), OTHER),
    "bmp": (lambda: noisy("BMP"), OTHER),
    "pdf": (lambda: b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n", OTHER),
    "film": (lambda: FILM, OTHER),
}


@pytest.mark.parametrize("what", BAD)
def test_a_bad_file_is_refused_with_its_sentence_and_leaves_nothing(develop: Develop, what):
    make, sentence = BAD[what]

    photo = develop(make(), name="IMG_7.jpg")

    assert photo.state == "refused"
    assert photo.refusal_text == sentence
    assert photo.original is None
    assert not Original.objects.exists()
    for folder in ("originals", "derived", "inbox", "workplace"):
        assert files_in(folder) == []


def test_the_good_photo_after_a_bad_one_is_kept(develop: Develop, room: Darkroom):
    for what in ("200 megapixels", "half a jpeg", "text", "heic with a huge header"):
        develop(BAD[what][0]())

    photo = develop(noisy("JPEG"))

    assert photo.state == "ready", photo.refusal_text


def test_a_cut_photo_is_refused_though_weasyprint_is_at_work_here(develop: Develop):
    assert weasyprint.__version__
    assert ImageFile.LOAD_TRUNCATED_IMAGES, "the trap that the darkroom is there for"

    for data in (half(noisy("JPEG")), noisy("JPEG")[:-20], half(noisy("PNG"))):
        assert develop(data).refusal == "damaged"


def test_the_darkroom_does_not_work_where_cut_photos_pass():
    words = (
        "from PIL import ImageFile\n"
        "ImageFile.LOAD_TRUNCATED_IMAGES = True\n"
        "from repairs.photos import darkroom\n"
        "darkroom.main()"
    )

    done = subprocess.run([sys.executable, "-c", words], input="", capture_output=True, text=True)

    assert done.returncode != 0
    assert "would accept truncated photos" in done.stderr


CHILDREN = {
    "hangs": ("import time; time.sleep(60)", "too_slow"),
    "dies of the photo": ("input(); raise SystemExit(3)", "crashed"),
    "dies at once": ("raise SystemExit(3)", "crashed"),
    "is killed": ("import os; input(); os.kill(os.getpid(), 9)", "crashed"),
}


@pytest.mark.parametrize("how", CHILDREN)
def test_a_darkroom_that_fails_refuses_nothing(develop: Develop, monkeypatch, how):
    program, trouble = CHILDREN[how]
    own = Darkroom(time_limit_s=0.3 if how == "hangs" else 20)
    data = noisy("JPEG")
    with monkeypatch.context() as patch:
        patch.setattr(developing, "COMMAND", [sys.executable, "-c", program])
        with pytest.raises(TroubleError, match=trouble):
            develop(data, room=own)

    own.time_limit_s = 20
    waiting = Photo.objects.select_related("original").get()
    assert waiting.state == "waiting" and waiting.original is not None
    assert store.path_of(waiting.original.file_name).read_bytes() == data
    kept = development.develop(Upload.objects.get(), own)
    own.close()
    assert kept.state == "ready", kept.refusal_text


def test_a_darkroom_that_died_between_two_photos_is_replaced(develop: Develop):
    own = Darkroom()
    first = develop(noisy("JPEG"), room=own)
    assert own._child is not None
    own._child.kill()
    own._child.wait()

    second = develop(noisy("JPEG"), room=own)
    own.close()

    assert [first.state, second.state] == ["ready", "ready"]


@pytest.mark.parametrize("code", [*REFUSALS, *REFUSALS_OF_OLD])
def test_every_reason_has_a_whole_sentence(code):
    details = {"megapixels": 200, "most": 120, "number": 3}

    text = Photo(state="refused", refusal=code, refusal_details=details).refusal_text

    assert text.endswith((".", "here: kept once."))
    assert "%" not in text
