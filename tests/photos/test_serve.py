"""What is handed out: derivatives only, to those who may see the case, and never a place."""

from __future__ import annotations

import pytest
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.people.models import User
from repairs.photos import actions
from repairs.photos.darkroom import SIZES
from repairs.photos.models import Photo
from repairs.storage import files as store
from tests import factories
from tests.photos import pictures

pytestmark = pytest.mark.django_db


@pytest.fixture
def placed(case: Case, armand: User) -> Photo:
    """A photo whose original knows where it was taken."""
    told = pictures.exif(6, taken="2026:11:20 09:00:00", place="yes")
    data = pictures.saved(
        pictures.turned(6),
        "JPEG",
        exif=told,
        comment=b"48.85830 N",
        xmp=b"<x:xmpmeta>48.8</x:xmpmeta>",
    )
    photo = factories.photo(case, by=armand, data=data)
    return Photo.objects.select_related("original", "case").get(pk=photo.pk)


def body(answer: object) -> bytes:
    return b"".join(answer.streaming_content)  # type: ignore[attr-defined]


@pytest.mark.parametrize("size", SIZES)
def test_a_picture_comes_whole_and_for_this_person_only(
    client: Browser, placed: Photo, tom: User, size
):
    client.force_login(tom)

    answer = client.get(placed.address(size))

    assert placed.original is not None
    assert body(answer) == store.path_of(placed.original.derivative(size)).read_bytes()
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "private" in answer["Cache-Control"] and "public" not in answer["Cache-Control"]


def test_a_photo_developed_before_a_size_was_added_comes_in_the_next_larger_one(
    client: Browser, placed: Photo, tom: User
):
    assert placed.original is not None
    store.path_of(placed.original.derivative(720)).unlink()
    client.force_login(tom)

    answer = client.get(placed.address(720))

    assert body(answer) == store.path_of(placed.original.derivative(1344)).read_bytes()


def test_a_size_that_nobody_makes_is_not_found(client: Browser, placed: Photo, tom: User):
    client.force_login(tom)

    assert client.get(placed.address(719)).status_code == 404


def test_no_byte_that_is_served_tells_the_place(client: Browser, placed: Photo, armand: User):
    client.force_login(armand)
    original = placed.original
    assert original is not None and original.has_place
    assert b"48.85830" in store.path_of(original.file_name).read_bytes()

    served = [body(client.get(placed.address(size))) for size in SIZES]
    served.append(client.get(placed.get_absolute_url()).content)

    for data in served:
        assert not any(word in data for word in (b"Exif\0", b"xmpmeta", b"48.85830"))


def test_without_signing_in_there_is_no_picture(client: Browser, photo: Photo):
    answer = client.get(photo.address(320))

    assert answer.status_code == 302
    assert "Cache-Control" not in answer or "max-age=86400" not in answer["Cache-Control"]


def test_what_does_not_exist_is_not_found(client: Browser, photo: Photo, vielle, armand: User):
    client.force_login(armand)
    other = factories.case(vielle, by=armand)
    here, there = f"/cases/{photo.case.number}/photos/", f"/cases/{other.number}/photos/"
    wanted = [
        f"{here}{photo.number}/2015.jpg",
        f"{here}{photo.number}/0.jpg",
        f"{here}{photo.number + 1}/320.jpg",
        f"{here}{'9' * 30}/320.jpg",
        f"{there}{photo.number}/320.jpg",
        f"/cases/1999-001/photos/{photo.number}/320.jpg",
    ]

    assert [client.get(address).status_code for address in wanted] == [404] * len(wanted)
    assert body(client.get(f"{here}{photo.number}/320.jpg"))


def test_a_photo_that_is_not_kept_has_no_picture(client: Browser, case: Case, armand: User):
    client.force_login(armand)
    broken = factories.photo(case, by=armand, data=b"no picture")
    waiting = factories.upload(case, factories.jpeg(), by=armand).photo
    assert waiting is not None

    for photo in (broken, waiting):
        assert client.get(photo.address(320)).status_code == 404


def test_a_lost_derivative_is_served_at_its_next_larger_size(client, placed: Photo, armand: User):
    client.force_login(armand)
    assert placed.original is not None
    small, *larger = [store.path_of(placed.original.derivative(px)) for px in reversed(SIZES)]
    next_larger = larger[0].read_bytes()
    small.unlink()

    assert body(client.get(placed.address(320))) == next_larger

    for path in larger:
        path.unlink()
    lost = client.get(placed.address(320))
    assert lost.status_code == 503
    assert "The picture is missing from the store." in lost.content.decode()


def test_originals_are_at_no_address(client: Browser, placed: Photo, helene: User):
    client.force_login(helene)
    original = placed.original
    assert original is not None
    name, base = original.file_name, f"/cases/{placed.case.number}/photos/"
    tries = [
        f"/{name}",
        f"/media/{name}",
        f"/static/{name}",
        f"/static/../media/{name}",
        f"{base}{name}",
        f"{base}{original.sha256}.jpg",
        f"{base}{placed.number}/original.jpg",
        f"{base}{placed.number}/{original.width}.jpg",
        f"{base}{placed.number}/{original.height}.jpg",
        f"{base}{placed.number}/..%2f..%2f{name}",
        f"{base}{placed.number}/320.jpg/../../{name}",
    ]

    for address in tries:
        assert client.get(address).status_code == 404, address


def test_a_withdrawn_photo_is_still_shown_for_undoing(client: Browser, photo: Photo, armand: User):
    client.force_login(armand)
    actions.set_withdrawn(photo, True, by=armand, at=timezone.now())

    page = client.get(reverse("findings:photo", args=[photo.case.number, photo.number]))

    assert "This photo is withdrawn." in page.content.decode()
    assert body(client.get(photo.address(320)))
