"""What the pages of a decision say back, and in which language."""

from __future__ import annotations

import pytest
from django.conf import settings as house_settings
from django.urls import reverse
from django.utils import timezone

from repairs.estimates.consent.links import make_link
from repairs.estimates.consent_models import Consent
from repairs.people.models import Client
from tests import factories
from tests.estimates.screens import at, words

SIGNED = {"choice": "1", "name": "Garance Ollivant", "signed_name": "Garance Ollivant"}


@pytest.fixture
def address(offer, armand) -> str:
    _link, token = make_link(offer, by=armand, at=timezone.now())
    return reverse("estimates:decide", args=[token])


@pytest.fixture
def french_owner(offer) -> None:
    Client.objects.filter(pk=offer.case.owner_id).update(language="fr")


def language_of(answer) -> str:
    return words(answer).split('<html lang="')[1][:2]


@pytest.mark.parametrize(
    ("chosen", "shown"), [("", "fr"), ("en", "en"), ("xx", "fr")], ids=["none", "one", "unknown"]
)
def test_a_visitor_reads_the_owners_language_unless_another_was_chosen(
    client, address, french_owner, chosen, shown
):
    if chosen:
        client.cookies[house_settings.LANGUAGE_COOKIE_NAME] = chosen

    assert language_of(client.get(address)) == shown


def test_who_is_signed_in_reads_in_their_own_language(luthier, address, french_owner):
    assert language_of(luthier.get(address)) == "en"


@pytest.mark.parametrize("name", ["premises", "decide"])
def test_the_offer_is_marked_with_the_language_it_was_written_in(luthier, offer, address, name):
    place = address if name == "decide" else at("premises", offer)

    page = words(luthier.get(place)).split("</h1>", 1)[1]

    assert 'lang="en"' in page.split("<form", 1)[0]


def test_the_thanks_are_for_nobody_who_did_not_decide(client, offer, armand):
    factories.consent(offer, by=armand)

    assert client.get(reverse("estimates:thanks")).status_code == 410


def test_each_deed_of_the_house_is_answered_with_what_it_did(luthier, offer):
    noted = luthier.post(at("premises", offer), SIGNED, follow=True)
    consent = Consent.objects.get()
    place = [offer.case.number, consent.number]
    issued = luthier.post(reverse("estimates:record", args=place), follow=True)

    assert "Decision 1 is noted." in words(noted)
    assert "Consent record 2026-001, decision 1 is issued." in words(issued)


def test_closing_the_links_says_so_and_leaves_none_open(luthier, offer, armand):
    link, _token = make_link(offer, by=armand, at=timezone.now())

    answer = luthier.post(at("revoke", offer), follow=True)

    link.refresh_from_db()
    assert "The links of this version open nothing any more." in words(answer)
    assert link.revoked_at is not None


def test_an_offer_that_stands_opens_the_pages_on_which_it_is_decided(luthier, offer):
    for name in ("premises", "spoken"):
        answer = luthier.get(at(name, offer))

        assert answer.status_code == 200
        assert "This field is required." not in words(answer)  # nothing was sent yet


def test_a_decision_by_telephone_that_cannot_be_noted_is_mended_on_its_page(luthier, offer):
    now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    said = {"how": "message", "said_at": now, "name": "Odon", "choice": "1", "words": "“Yes.”"}

    answer = luthier.post(at("spoken", offer), said)

    assert answer.status_code == 200
    assert "not the name of the owner" in words(answer)
    assert not Consent.objects.exists()


def test_the_record_is_offered_for_the_newest_decision_only(luthier, offer, armand):
    first = factories.consent(offer, by=armand, decision="declined", option=None)
    newest = factories.consent(offer, by=armand)

    assert "Issue the consent record" in words(luthier.get(newest.get_absolute_url()))
    assert "Issue the consent record" not in words(luthier.get(first.get_absolute_url()))


def test_a_link_is_not_shown_to_who_made_none(luthier, offer):
    answer = luthier.get(at("link_shown", offer), follow=True)

    assert "A link is shown once. When it is lost, make another." in words(answer)
