"""Verbs on people: enter a client, change one, hire, change the house."""

from __future__ import annotations

import datetime as dt

from repairs.audit.actions import deed, record
from repairs.people.house_models import House
from repairs.people.models import Client, DataConsent, User

PERSONAL = ("name", "contact", "address", "email", "phone", "note")


@deed()
def enter_client(client: Client, *, by: User | None, at: dt.datetime) -> Client:
    """Keep a new client; personal data enter the log only as salted hashes."""
    client.created_at = at
    client.save()
    record(by, "client.entered", client, at=at, hashed=_personal(client))
    return client


@deed()
def house_as_client(*, by: User, at: dt.datetime) -> Client:
    """The workshop in its part of an owner; entered once."""
    known = Client.objects.filter(kind=Client.Kind.HOUSE).first()
    if known is not None:
        return known
    house = House.present()
    own = Client(kind=Client.Kind.HOUSE, name=house.name, address=house.address)
    return enter_client(own, by=by, at=at)


@deed()
def change_client(client: Client, *, by: User, at: dt.datetime) -> Client:
    """Keep what was put right of a client."""
    client.save()
    record(by, "client.changed", client, at=at, hashed=_personal(client))
    return client


@deed()
def give_data_consent(
    client: Client, purpose: str, how: str, *, by: User | None, at: dt.datetime
) -> DataConsent:
    """Note that the client allows a use of data; an earlier consent for it is left as it is."""
    consent = DataConsent.objects.create(client=client, purpose=purpose, how=how, given_at=at)
    record(by, "client.consented", client, at=at, purpose=purpose, how=how)
    return consent


@deed()
def withdraw_data_consent(consent: DataConsent, *, by: User, at: dt.datetime) -> None:
    """Note when a consent was taken back; its row stays, as proof until then."""
    consent.withdrawn_at = at
    consent.save(update_fields=["withdrawn_at"])
    record(by, "client.consent_withdrawn", consent.client, at=at, purpose=consent.purpose)


@deed()
def save_user(user: User, *, by: User | None, at: dt.datetime, password: str = "") -> User:
    """Hire or change a person; a password is set only when one is given."""
    is_new = user.pk is None
    if password:
        user.set_password(password)
    elif is_new:
        user.set_unusable_password()
    user.save()
    verb = "person.hired" if is_new else "person.changed"
    record(by, verb, user, at=at, role=user.role, active=user.is_active)
    if password and not is_new:
        record(by, "person.password_changed", user, at=at)
    return user


@deed()
def change_house(house: House, *, by: User | None, at: dt.datetime) -> House:
    """Keep the settings; papers already issued are not touched."""
    house.save()
    record(by, "house.changed", house, at=at, hashed={"name": house.name, "terms": house.terms})
    return house


def _personal(client: Client) -> dict[str, object]:
    return {name: getattr(client, name) for name in PERSONAL}
