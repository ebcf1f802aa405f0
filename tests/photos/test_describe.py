"""The page of one photo: describe it, withdraw it, take that back, see why it was refused."""

from __future__ import annotations

import re

import pytest
from django.test import Client as Browser
from django.urls import reverse

from repairs.audit.models import LogEntry
from repairs.cases.models import Case
from repairs.people.models import User
from repairs.photos.models import Photo
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def browser(client: Browser, lise: User) -> Browser:
    client.force_login(lise)
    return client


def post(browser: Browser, deed: str, photo: Photo, **said: str):
    address = reverse(f"photos:{deed}", args=[photo.case.number, photo.number])
    return browser.post(address, said, follow=True)


def seen(page) -> str:
    """A page without what it carries for its scripts."""
    return re.sub(r"<script\b.*?</script>", "", page.content.decode(), flags=re.DOTALL)


def test_a_photo_is_described(browser: Browser, photo: Photo):
    caption = "شرخ في اللوح 🎻 <b>brass</b>"

    page = post(browser, "describe", photo, phase="before", view="back", caption=caption)

    photo.refresh_from_db()
    assert (photo.phase, photo.view, photo.caption) == ("before", "back", caption)
    assert "&lt;b&gt;brass" in page.content.decode()
    assert "<b>brass" not in page.content.decode()
    told = LogEntry.objects.get(verb="photo.described").details
    assert caption not in str(told)


@pytest.mark.parametrize(
    "said",
    [
        {"phase": "never", "view": "", "caption": ""},
        {"phase": "before", "view": "inside-out", "caption": ""},
        {"phase": "before", "view": "", "caption": "x" * 301},
        {},
    ],
)
def test_what_cannot_be_is_not_saved(browser: Browser, photo: Photo, said):
    before = Photo.objects.values().get(pk=photo.pk)

    page = post(browser, "describe", photo, **said)

    assert Photo.objects.values().get(pk=photo.pk) == before
    assert "Saved." not in seen(page)


def test_a_photo_is_withdrawn_and_put_back(browser: Browser, photo: Photo):
    page = post(browser, "withdraw", photo).content.decode()
    assert f"Photo {photo.number} is withdrawn" in page
    assert reverse("photos:restore", args=[photo.case.number, photo.number]) in page
    assert not Photo.objects.present().exists()
    assert Photo.objects.get().original is not None

    page = post(browser, "restore", photo).content.decode()

    assert f"Photo {photo.number} is back." in page
    assert Photo.objects.ready().get() == photo
    verbs = list(LogEntry.objects.order_by("seq").values_list("verb", flat=True))[-2:]
    assert verbs == ["photo.withdrawn", "photo.put_back"]


def test_a_number_is_not_given_again(photo: Photo, browser: Browser, armand: User):
    post(browser, "withdraw", photo)

    later = factories.photo(photo.case, by=armand, data=factories.jpeg(seed=3))

    assert later.number == photo.number + 1


def test_a_refused_photo_says_why_on_its_page(browser: Browser, case: Case, armand: User):
    broken = factories.photo(case, by=armand, data=b"%PDF-1.7", name="plan <1>.jpg")

    page = browser.get(broken.get_absolute_url()).content.decode()

    assert "plan &lt;1&gt;.jpg: it is not of a kind that is kept here." in page
    assert "<img" not in page


def test_a_photo_that_waits_says_so(browser: Browser, case: Case, armand: User):
    waiting = factories.upload(case, factories.jpeg(), by=armand).photo
    assert waiting is not None

    page = browser.get(waiting.get_absolute_url()).content.decode()

    assert "being checked" in page


def test_a_reader_sees_the_photo_and_no_form(client: Browser, photo: Photo, tom: User):
    client.force_login(tom)

    page = client.get(photo.get_absolute_url()).content.decode()

    assert photo.screen_address in page
    assert reverse("photos:describe", args=[photo.case.number, photo.number]) not in page
    for deed in ("describe", "withdraw", "restore"):
        assert post(client, deed, photo).status_code == 403
    assert Photo.objects.get().withdrawn_at is None


@pytest.mark.parametrize(
    ("language", "words"),
    [("en", "a scale and a colour card"), ("fr", "une échelle et une charte")],
)
def test_what_lies_in_the_picture_is_said_and_shown(client, photo: Photo, language, words):
    client.force_login(factories.person("basile", "luthier", language))

    page = post(client, "describe", photo, phase="arrival", view="front", carries="both")

    photo.refresh_from_db()
    assert photo.has_scale and photo.has_colour_card
    assert f"<dd>{words}" in page.text
