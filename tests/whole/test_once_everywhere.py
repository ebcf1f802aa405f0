"""Every address that takes a form asks for its one-time token, or says why it needs none."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import transaction
from django.middleware.csrf import _get_new_csrf_string
from django.test import Client as Browser

from repairs.screens.once_models import SentForm
from tests.whole.addresses import ADDRESSES, JSON_ROUTES, TABLE
from tests.whole.asking import address

HARMLESS = {
    "people:sign_in",
    "people:sign_out",
    "people:language",
    "photos:send",
    "press:verify",
    "press:verify_code",
    "readings:try",
}


def test_what_needs_no_token_is_known_and_says_why():
    marked = {
        name: view.harmless_again
        for name, found in ADDRESSES.items()
        if hasattr(view := found.view, "harmless_again")
    }

    assert set(marked) == HARMLESS
    assert all(marked.values())


def post(name: str, known: dict[str, Any], person: Any) -> int:
    """As an old page of a real browser would: with the guard against foreign sites alone."""
    browser = Browser(enforce_csrf_checks=True, raise_request_exception=False)
    browser.force_login(person)
    secret = _get_new_csrf_string()
    browser.cookies["csrftoken"] = secret
    sent = {**dict(TABLE[name].sent), "csrfmiddlewaretoken": secret}
    with transaction.atomic():
        status = browser.post(address(name, known), sent).status_code
        transaction.set_rollback(True)
    return status


@pytest.mark.share(2)
def test_no_address_takes_a_form_without_its_token(world, helene):
    known = world(helene)
    asked = [name for name in TABLE if name not in HARMLESS | JSON_ROUTES]

    answers = {name: post(name, known, helene) for name in asked}

    assert answers == dict.fromkeys(asked, 409)
    assert not SentForm.objects.exists()
