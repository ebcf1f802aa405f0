"""The house, its people and its clients."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from repairs.people import actions as people_actions
from repairs.people.house_models import House
from repairs.people.models import Client, User

# Numbers of published examples, whose check digits fit; nobody's.
BILLING = {
    "address": "1, rue du Puits",
    "postcode": "03000",
    "city": "Valbrune",
    "country": "FR",
    "email": "atelier@example.org",
    "legal_form": "EI",
    "company_number": "73282932000074",
    "vat_id": "FR44732829320",
    "iban": "FR7630006000011234567890189",
    "bic": "AGRIFRPP",
}


def house() -> House:
    return people_actions.change_house(
        House(
            name="Atelier Sautarel",
            trade="Vielles et violons",
            address="1, rue du Puits",
            currency="EUR",
            terms="Ceci est un essai.",
        ),
        by=None,
        at=timezone.now(),
    )


def person(username: str, role: str, language: str = "en") -> User:
    user = User(
        username=username,
        first_name=username.capitalize(),
        last_name="Sautarel",
        role=role,
        language=language,
        email=f"{username}@example.org",
    )
    return people_actions.save_user(user, by=None, at=timezone.now(), password="un-mot-long-1771")


def owner(*, by: User, name: str = "Garance Ollivant", **fields: Any) -> Client:
    client = Client(
        name=name,
        email=fields.pop("email", "garance@example.org"),
        phone=fields.pop("phone", "+33 6 11 22 33 44"),
        language="en",
        **fields,
    )
    return people_actions.enter_client(client, by=by, at=timezone.now())


def billing_house(**fields: Any) -> House:
    """A workshop that has all that its invoices need."""
    said: dict[str, Any] = {
        "name": "Atelier Sautarel",
        "trade": "Vielles et violons",
        **BILLING,
        **fields,
    }
    return people_actions.change_house(House(**said), by=None, at=timezone.now())


def payer(*, by: User, name: str = "Garance Ollivant", **fields: Any) -> Client:
    """A client with an address to send invoices to."""
    said: dict[str, Any] = {
        "address": "3, rue des Tanneurs",
        "postcode": "03100",
        "city": "Montluçon",
    } | fields
    return owner(by=by, name=name, **said)
