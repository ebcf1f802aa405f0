"""One darkroom process for all tests of a module, and a photo as the database has it afterwards."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from django.test import Client as Browser

from repairs.cases.models import Case
from repairs.people.models import User
from repairs.photos import development
from repairs.photos.developing import Darkroom
from repairs.photos.models import Photo
from repairs.storage import files as store
from tests import factories
from tests.photos import pictures

Develop = Callable[..., Photo]


@pytest.fixture(scope="module")
def room() -> Iterator[Darkroom]:
    room = Darkroom()
    yield room
    room.close()


@pytest.fixture
def develop(case: Case, armand: User, room: Darkroom) -> Develop:
    """Send the bytes and develop them; return the photo, kept or refused."""

    def run(data: bytes, name: str = "IMG_1.jpg", room: Darkroom = room, **fields: str) -> Photo:
        upload = factories.upload(case, data, by=armand, name=name, **fields)
        development.develop(upload, room)
        return Photo.objects.select_related("original", "case").get(upload=upload)

    return run


def files_in(folder: str) -> list[Path]:
    return sorted(path for path in (store.root() / folder).rglob("*") if path.is_file())


@pytest.fixture
def data() -> bytes:
    return pictures.saved(pictures.noise(), "JPEG")


@pytest.fixture
def browser(client: Browser, armand: User) -> Browser:
    client.force_login(armand)
    return client
