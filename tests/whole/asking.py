"""Send the request of the table to an address, as a person of the house or as nobody."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.test import Client as Browser
from django.test.client import MULTIPART_CONTENT
from django.urls import reverse

from repairs.people.access import DEEDS
from repairs.people.models import User
from tests import factories
from tests.whole.addresses import ADDRESSES, JSON_ROUTES, NOBODY, OPEN, TABLE

# How an address names what stands under another name in the world.
MEANT = {
    "people": {"pk": "owner"},
    "press:proof": {"pk": "proof"},
    "people:user": {"pk": "person"},
    "instruments": {"number": "instrument"},
    "wood": {"number": "piece"},
    "photos:send": {"uuid": "upload"},
    "findings:part_map": {"name": "map"},
    "invoices": {"draft": "bill", "paper": "money_paper"},
    "invoices:export": {"what": "export"},
    "treatment:wheel_ledger": {"number": "instrument"},
    "treatment:material_back": {"pk": "material"},
    "treatment:new_part_back": {"pk": "part"},
    "papers": {"uuid": "paper"},
    "papers:preview_file": {"uuid": "draft"},
    "estimates": {"number": "offered_case", "consent": "decision"},
    "estimates:edit": {"number": "offered_case", "version": "version_written"},
    "estimates:issue": {"number": "offered_case", "version": "version_written"},
}


def address(name: str, known: dict[str, Any]) -> str:
    meant = MEANT.get(name) or MEANT.get(name.partition(":")[0]) or {}
    wanted = {key: known[meant.get(key, key)] for key in ADDRESSES[name].arguments}
    return reverse(name, kwargs=wanted)


def ask(
    name: str, known: dict[str, Any], person: User | None, method: str = "", **options: Any
) -> Any:
    """Send the request of the table and undo whatever it changed; ``said`` is what it answers."""
    route = TABLE[name]
    browser: Any = Browser(raise_request_exception=False, **options)
    sent = dict(route.sent)
    place = address(name, known)
    if name == "photos:send":
        place += "?offset=0"
    if name == "papers:make_issue":
        sent = {"draft": known["draft"]}
    if name == "estimates:issue":
        sent["fingerprint"] = known["fingerprint"]
    kind = "application/json" if name in JSON_ROUTES else MULTIPART_CONTENT
    with transaction.atomic():
        if person is not None:
            browser.force_login(person)
        method = method or route.method
        answer = browser.post(place, sent, kind) if method == "POST" else browser.get(place)
        transaction.set_rollback(True)
    # A file is read to its end, where it is closed.
    answer.said = b"".join(answer.streaming_content) if answer.streaming else answer.content
    return answer


def person_of(role: str) -> User | None:
    return None if role == NOBODY else factories.person("basile", role)


def expected(name: str, role: str) -> int:
    route = TABLE[name]
    if route.deed == OPEN:
        return 302 if name == "people:sign_in" and role != NOBODY else route.status
    if role == NOBODY:
        return 302
    return route.status if route.deed in DEEDS[role] else 403
