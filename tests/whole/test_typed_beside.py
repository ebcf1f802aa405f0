"""What is typed anywhere on a page is there again, whichever of its keys is pressed.

Without JavaScript: each key is pressed as a browser does, with all fields of its form.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

import pytest
from django.db import transaction
from django.test import Client as Browser

from tests.forms_of import Form, Forms
from tests.whole.addresses import TABLE
from tests.whole.asking import address

# Pages of several deeds whose words lie in one form.
CARRY = {
    "bench:case",
    "bench:start",
    "instruments:hazards",
    "instruments:parts",
    "treatment:work",
}
# Two forms with words, and why none can take from the other.
APART: dict[str, str] = {}


def page_of(browser: Browser, place: str) -> list[Form]:
    answer: Any = browser.get(place)
    if answer.streaming:
        b"".join(answer.streaming_content)  # read to its end: closed before, it takes the database
        return []
    is_page = answer.get("Content-Type", "").startswith("text/html") and answer.status_code == 200
    return list(Forms(answer.content.decode())) if is_page else []


@pytest.mark.share(2)
def test_no_page_has_its_words_in_two_forms(world, helene):
    known = world(helene)
    browser = Browser(raise_request_exception=False)
    browser.force_login(helene)
    several, carry = set(), set()
    for name in TABLE:
        forms = [one for one in page_of(browser, address(name, known)) if one.writes]
        if sum(1 for one in forms if one.typed) > 1:
            several.add(name)
        if any(one.carries for one in forms):
            carry.add(name)

    assert several == set(APART)
    assert carry == CARRY


def typed_into(form: Form) -> dict[str, str]:
    """Something of its own in every field of the form, which any of them takes."""
    return {one.name: f"{20 + at}" for at, one in enumerate(form.typed)}


def lost_by(browser: Browser, place: str, at: int) -> set[str]:
    """What is no longer in the page once that key was pressed, but for what the key took."""
    form = carrying(browser.get(place))
    assert form is not None
    key, words = form.keys[at], typed_into(form)
    body = urlencode(form.sent(key) | words, doseq=True)
    address = key.get("formaction") or form.action
    answer = browser.post(address, body, "application/x-www-form-urlencoded")
    again = carrying(answer) or carrying(browser.get(place))
    shown = {one.name: one.value for one in again.typed} if again else {}
    own = {one.name for one in form.typed if f"{one.part}" == key["part"]}
    rest = set(words) - own
    assert answer.status_code in (200, 302, 409, 422)
    return {one for one in rest if not is_same(shown.get(one, ""), words[one])}


def carrying(answer: Any) -> Form | None:
    if answer.status_code not in (200, 422):
        return None
    return next((one for one in Forms(answer.content.decode()) if one.carries), None)


def is_same(shown: str, typed: str) -> bool:
    return shown == typed or (shown.replace(".", "").isdecimal() and float(shown) == float(typed))


@pytest.mark.parametrize("name", sorted(CARRY))
def test_all_that_was_typed_elsewhere_comes_back(world, helene, name):
    place = address(name, world(helene))
    browser = Browser(raise_request_exception=False)
    browser.force_login(helene)
    form = carrying(browser.get(place))
    assert form is not None
    lost = {}
    # Of the many steps of a work the keys of one are pressed.
    places = {(key.get("formaction"), key.get("value")): at for at, key in enumerate(form.keys)}
    for at in places.values():
        key = form.keys[at]
        with transaction.atomic():
            gone = lost_by(browser, place, at)
            transaction.set_rollback(True)
        if gone:
            lost[f"{key.get('name')}={key.get('value')} {key.get('formaction')}"] = gone

    assert len(form.keys) > 3
    assert lost == {}
