"""What is typed in one form of a work is not lost by a key of another, without JavaScript."""

from __future__ import annotations

from html.parser import HTMLParser

import pytest
from django.test import Client as Browser
from django.utils import timezone

from repairs.people.models import User
from repairs.treatment import clocks
from repairs.treatment.models import Intervention, WorkSpell

pytestmark = pytest.mark.django_db


class Form(HTMLParser):
    """What a browser sends of the form “tell”, and the keys that send it, in their order."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.sent: dict[str, str] = {}
        self.keys: list[dict[str, str]] = []
        self._inside, self._area = False, ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._inside = said.get("id") == "tell"
        mine = self._inside or said.get("form") == "tell"
        if tag == "button" and mine:
            self.keys.append(said)
        if mine and tag == "textarea":
            self._area = said["name"]
        if mine and tag == "input" and said.get("name"):
            self.sent[said["name"]] = said.get("value", "")

    def handle_data(self, data: str) -> None:
        if self._area:
            self.sent[self._area] = self.sent.get(self._area, "") + data.removeprefix("\n")

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self._area = ""
        if tag == "form":
            self._inside = False


def opened(browser: Browser, work: Intervention) -> Form:
    form = Form(browser.get(work.get_absolute_url()).content.decode())
    form.sent.pop("csrfmiddlewaretoken", None)
    form.sent.setdefault("words", "")
    return form


def press(browser: Browser, form: Form, do: str, **typed: str):
    key = next(key for key in form.keys if key.get("value") == do)
    return browser.post(key["formaction"], {**form.sent, **typed, "do": do})


@pytest.mark.parametrize("do", ["pause", "stop"])
def test_words_that_are_being_typed_are_kept_when_the_clock_is_stopped(
    client: Browser, work, armand: User, do
):
    client.force_login(armand)
    press(client, opened(client, work), "start")

    typed = {"words": "Seam opened with a warm knife.\r\nTwo cleats.", "room_t_c": "20.5"}
    answer = press(client, opened(client, work), do, **typed)

    work.refresh_from_db()
    assert answer.status_code == 302
    assert work.words.split() == typed["words"].split()
    assert f"{work.room_t_c:.1f}" == "20.5"
    assert not WorkSpell.objects.filter(ended_at=None).exists()
    assert (work.ended_at is not None) == (do == "stop")


def test_words_nobody_touched_do_not_overwrite_those_of_somebody_else(
    client: Browser, work, armand: User
):
    client.force_login(armand)
    press(client, opened(client, work), "start")
    page = opened(client, work)
    Intervention.objects.filter(pk=work.pk).update(words="Written meanwhile.", room_t_c="21.0")

    press(client, page, "pause")

    work.refresh_from_db()
    assert work.words == "Written meanwhile."
    assert not WorkSpell.objects.filter(ended_at=None).exists()


def test_what_cannot_be_kept_is_shown_again_and_the_clock_runs_on(
    client: Browser, work, armand: User
):
    client.force_login(armand)
    press(client, opened(client, work), "start")

    answer = press(client, opened(client, work), "pause", words="Glue.", room_t_c="warm")

    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Glue." in page and 'value="warm"' in page
    assert WorkSpell.objects.filter(ended_at=None).exists()


def test_enter_in_a_field_saves_and_stops_nothing(client: Browser, work, armand: User):
    client.force_login(armand)

    first = opened(client, work).keys[0]

    assert "formaction" not in first and "name" not in first


def test_the_clock_of_somebody_else_is_stopped_by_its_own_key(
    client: Browser, work, armand: User, helene: User
):
    clocks.start_clock(work, by=armand, at=timezone.now())
    client.force_login(helene)
    form = opened(client, work)
    key = next(key for key in form.keys if "?spell=" in key.get("formaction", ""))

    client.post(key["formaction"], {**form.sent, "words": "Mine.", "do": "pause"})

    work.refresh_from_db()
    assert work.words == "Mine."
    assert WorkSpell.objects.get().ended_at is not None
