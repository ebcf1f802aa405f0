"""Entering a client: once, under one name, with what they allowed."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from repairs.audit.models import LogEntry
from repairs.people import actions
from repairs.people.models import Client, DataConsent
from tests import factories

GARANCE = {
    "kind": "person",
    "name": "Garance Ollivant",
    "address": "3, rue des Tanneurs\n03000 Trompesource",
    "country": "FR",
    "email": "garance@example.org",
    "phone": "+33 6 11 22 33 44",
    "language": "fr",
    "note": "Plays on Thursdays.",
}


@pytest.fixture
def send(client, helene):
    client.force_login(helene)

    def post(**changed: str):
        return client.post(reverse("people:client_add"), GARANCE | changed)

    return post


def test_a_client_is_entered_and_shown(client, send):
    answer = send()

    entered = Client.objects.get()
    page = client.get(answer["Location"]).text
    assert answer["Location"] == reverse("people:client", args=[entered.pk])
    assert "Garance Ollivant is entered." in page
    assert "rue des Tanneurs" in page
    assert LogEntry.objects.filter(verb="client.entered", subject=f"client:{entered.pk}").exists()


def test_a_client_without_a_name_is_refused_and_the_rest_is_kept(send):
    answer = send(name="")

    assert "Please mend" in answer.text
    assert "rue des Tanneurs" in answer.text
    assert not Client.objects.exists()


@pytest.mark.parametrize(
    "typed",
    [
        {"name": "GARANCE OLLIVANT", "email": "", "phone": ""},
        {"name": "Garancé  Ôllivant", "email": "", "phone": ""},
        {"name": "Garance-Ollivant", "email": "", "phone": ""},
        {"name": "G. Ollivant", "email": "Garance@Example.org", "phone": ""},
        {"name": "G. Ollivant", "email": "", "phone": "06 11 22 33 44"},
        {"name": "G. Ollivant", "email": "", "phone": "0033611223344"},
    ],
    ids=["capitals", "accents", "hyphen", "e-mail", "telephone", "telephone abroad"],
)
def test_someone_alike_is_offered_and_nobody_is_made_yet(send, typed):
    send()

    answer = send(**typed)

    assert Client.objects.count() == 1
    assert "Is it one of these?" in answer.text
    assert reverse("people:client", args=[Client.objects.get().pk]) in answer.text
    assert typed["name"] in answer.text
    assert "rue des Tanneurs" in answer.text


def test_someone_alike_is_entered_when_that_is_ticked(send):
    send()

    answer = send(really_new="on")

    assert answer.status_code == 302
    assert Client.objects.count() == 2


@pytest.mark.parametrize(
    "typed",
    [
        {"name": "Garance Olivant", "email": "", "phone": ""},
        {"name": "Odon Perrachon", "email": "odon@example.org", "phone": ""},
        {"name": "Odon Perrachon", "email": "", "phone": "12 34"},
    ],
)
def test_someone_else_is_entered_without_a_question(send, typed):
    send()

    assert send(**typed).status_code == 302


@pytest.mark.parametrize(("typed", "kept"), [("FR", "FR"), ("fr", "FR"), ("Be", "BE")])
def test_a_country_is_two_letters_large_or_small(send, typed, kept):
    send(country=typed)

    assert Client.objects.get().country == kept


@pytest.mark.parametrize("typed", ["F", "F1", "France", "é2", ""])
def test_a_country_of_other_letters_is_refused(send, typed):
    answer = send(country=typed)

    assert "Please mend" in answer.text
    assert not Client.objects.exists()


@pytest.mark.parametrize("name", ["ß" * 160, "ﷺ" * 160, "名" * 160, "لورا 🎻"])
def test_a_name_in_any_script_is_kept_whole(send, name):
    send(name=name)

    assert Client.objects.get().name == name
    assert Client.objects.like(name=name, email="", phone="").exists()


def test_a_client_is_found_by_the_name_without_accents(owner):
    owner.name = "Hélène Œuvrard"
    owner.save()

    assert Client.objects.matching("helene").get() == owner
    assert Client.objects.matching("oeuvrard").get() == owner
    assert not Client.objects.matching("helene perrachon").exists()


def test_a_changed_client_is_kept_and_is_not_alike_to_itself(client, send, helene):
    send()
    entered = Client.objects.get()

    answer = client.post(
        reverse("people:client_edit", args=[entered.pk]), GARANCE | {"phone": "+32 470 00 00 01"}
    )

    entered.refresh_from_db()
    assert answer.status_code == 302
    assert (entered.phone, entered.phone_digits) == ("+32 470 00 00 01", "32470000001")
    assert LogEntry.objects.filter(verb="client.changed", actor=helene).exists()


def test_a_consent_is_given_and_withdrawn_and_both_are_kept(client, helene, owner):
    client.force_login(helene)
    client.post(
        reverse("people:consent_add", args=[owner.pk]), {"purpose": "photos", "how": "written"}
    )
    consent = DataConsent.objects.get()
    page_given = client.get(reverse("people:client", args=[owner.pk])).text
    withdraw = reverse("people:consent_withdraw", args=[owner.pk, consent.pk])
    client.post(withdraw)

    consent.refresh_from_db()
    page_withdrawn = client.get(reverse("people:client", args=[owner.pk])).text
    assert "Show photos of the instrument (in writing" in page_given
    assert "badge-doubt" not in page_given
    assert consent.withdrawn_at is not None
    assert "withdrawn" in page_withdrawn
    assert client.post(withdraw).status_code == 404


def test_a_consent_of_another_client_is_not_withdrawn(client, helene, owner, now):
    consent = actions.give_data_consent(owner, "keep", "spoken", by=helene, at=now)
    stranger = factories.owner(by=helene, name="Odon Perrachon", email="", phone="")
    client.force_login(helene)

    answer = client.post(reverse("people:consent_withdraw", args=[stranger.pk, consent.pk]))

    consent.refresh_from_db()
    assert (answer.status_code, consent.withdrawn_at) == (404, None)


def test_a_consent_cannot_end_before_it_was_given(helene, owner, now):
    consent = actions.give_data_consent(owner, "keep", "spoken", by=helene, at=now)

    with pytest.raises(IntegrityError), transaction.atomic():
        actions.withdraw_data_consent(consent, by=helene, at=now - dt.timedelta(days=1))


def test_the_house_itself_is_not_listed_among_the_clients(client, helene, owner):
    factories.owner(by=helene, name="Atelier", email="", phone="", kind=Client.Kind.HOUSE)
    client.force_login(helene)

    page = client.get(reverse("people:clients")).text

    assert owner.name in page
    assert ">Atelier<" not in page
