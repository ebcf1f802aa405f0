"""The owner's link: what anyone may try, and what it opens."""

from __future__ import annotations

import datetime as dt
import html
import json

import pytest
from django.core.cache import cache
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.estimates.actions import withdraw_estimate
from repairs.estimates.consent.links import hash_of, link_of, make_link, revoke_links
from repairs.estimates.consent_models import Consent, ConsentLink
from repairs.estimates.models import Estimate
from repairs.estimates.refusals import ConsentRefusedError, LinkSpentError
from repairs.estimates.wishes import OptionWish
from repairs.people.models import Client
from repairs.press.actions import pdf_bytes
from repairs.storage import files as store
from repairs.treatment.models import AgreedWork
from tests import factories

SAID = {
    "choice": "1",
    "name": "Garance Ollivant",
    "signature": json.dumps(factories.SIGNATURE),
}


@pytest.fixture
def offer(house, case, finding, armand) -> Estimate:
    options = (
        OptionWish(kind="safe", lines=[factories.work_line(findings=[finding])]),
        OptionWish(kind="full", lines=[factories.work_line("turning", findings=[finding])]),
    )
    return factories.estimate(case, *options, by=armand)


@pytest.fixture
def token(offer, armand) -> str:
    _link, token = make_link(offer, by=armand, at=timezone.now())
    return token


def at(token: str, name: str = "decide") -> str:
    return reverse(f"estimates:{name}", args=[token])


def words(answer) -> str:
    return html.unescape(answer.content.decode())


# Making it -----------------------------------------------------------------------------------


def test_only_the_hash_of_the_token_is_kept(offer, token):
    link = ConsentLink.objects.get()

    assert link.token_hash == hash_of(token)
    assert len(token) >= 43  # 32 random bytes
    assert token not in str(list(ConsentLink.objects.values()) + list(LogEntry.objects.values()))


def test_tokens_are_random(offer, armand):
    tokens = {make_link(offer, by=armand, at=timezone.now())[1] for _number in range(5)}

    assert len(tokens) == 5


def test_it_lasts_two_weeks_but_not_longer_than_the_offer(offer, armand, today):
    now = timezone.now()
    usual, _token = make_link(offer, by=armand, at=now)
    offer.valid_until = today
    short, _token = make_link(offer, by=armand, at=now)

    assert usual.expires_at == now + dt.timedelta(days=14)
    local = timezone.localtime(short.expires_at)
    assert (local.date(), local.hour, local.minute) == (today + dt.timedelta(days=1), 0, 0)


def test_no_link_is_made_to_what_nobody_can_decide_about(house, case, armand):
    draft = factories.estimate(case, by=armand, issued=False)

    with pytest.raises(ConsentRefusedError, match="not issued yet"):
        make_link(draft, by=armand, at=timezone.now())


def test_making_and_closing_are_logged(offer, token, armand):
    revoke_links(offer, by=armand, at=timezone.now())
    at_once = LogEntry.objects.filter(verb="consent.link_revoked").count()
    revoke_links(offer, by=armand, at=timezone.now())  # nothing is open any more

    assert at_once == 1
    lines = LogEntry.objects.filter(verb__startswith="consent.").order_by("seq")
    assert [(line.verb, line.details["version"]) for line in lines] == [
        ("consent.link_made", 1),
        ("consent.link_revoked", 1),
    ]


# Looking -------------------------------------------------------------------------------------


def test_a_visitor_sees_exactly_the_issued_version(client, offer, token):
    page = words(client.get(at(token)))

    content = factories.paper_of(offer).data["content"]
    for option in content["options"]:
        assert option["total"] in page
        assert option["stop_words"] in page
    assert "1. crack, soundboard" in page
    assert "Rooms of the house" not in page  # no navigation
    assert offer.case.owner.phone not in page


def test_a_later_change_in_the_case_is_not_shown(client, offer, token, finding):
    finding.term = "stain"
    finding.save()

    assert "1. crack, soundboard" in words(client.get(at(token)))


def test_the_paper_itself_can_be_had(client, offer, token):
    answer = client.get(at(token, "decide_file"))

    assert b"".join(answer.streaming_content) == pdf_bytes(factories.paper_of(offer))
    assert answer["Content-Type"] == "application/pdf"


def test_the_photo_of_what_is_meant_is_shown_and_no_other_of_the_case(
    client, house, case, finding, armand
):
    shown = factories.photo(case, by=armand, data=factories.jpeg(900, 600, seed=1), view="front")
    factories.tag(shown, finding, by=armand)
    factories.photo(case, by=armand, data=factories.jpeg(900, 600, seed=2), view="back")
    row = factories.estimate(
        case, OptionWish(kind="safe", lines=[factories.work_line(findings=[finding])]), by=armand
    )
    _link, token = make_link(row, by=armand, at=timezone.now())
    address = reverse("estimates:decide_photo", args=[token, 1])

    page = words(client.get(at(token)))
    answer = client.get(address)

    [meant] = factories.paper_of(row).data["content"]["pictures"]
    assert f'<img src="{address}" alt="{meant["alt"]}"' in page
    assert b"".join(answer.streaming_content) == store.path_of(meant["picture"]).read_bytes()
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["Cache-Control"] == "private, no-store"
    for other in (0, 2):
        gone = reverse("estimates:decide_photo", args=[token, other])
        assert client.get(gone).status_code == 404


def test_a_spent_link_shows_no_photo(client, offer, token, armand):
    revoke_links(offer, by=armand, at=timezone.now())

    answer = client.get(reverse("estimates:decide_photo", args=[token, 1]))

    assert answer.status_code == LinkSpentError().status
    assert answer["Content-Type"].startswith("text/html")


def test_a_mail_scanner_uses_nothing_up(client, token):
    for _number in range(5):
        assert client.head(at(token)).status_code == 200
        assert client.get(at(token)).status_code == 200
        file = client.get(at(token, "decide_file"))
        assert len(b"".join(file.streaming_content)) > 1000  # to its end, where it is closed

    link = ConsentLink.objects.get()
    assert link.used_at is None
    assert client.post(at(token), SAID).status_code == 302


def test_the_first_look_is_remembered(client, token):
    client.head(at(token))
    assert ConsentLink.objects.get().first_opened_at is None
    client.get(at(token))
    first = ConsentLink.objects.get().first_opened_at
    client.get(at(token))

    assert first is not None
    assert ConsentLink.objects.get().first_opened_at == first


@pytest.mark.parametrize("name", ["decide", "decide_file"])
def test_no_trace_is_left_of_the_address(client, token, name):
    answer = client.get(at(token, name))
    list(answer)  # a file is read to its end

    assert "no-store" in answer["Cache-Control"]
    assert answer["X-Robots-Tag"] == "noindex, nofollow"
    assert answer["Referrer-Policy"] == "same-origin"


def test_the_page_speaks_the_language_of_the_owner_or_of_who_chooses(client, offer, token):
    Client.objects.update(language="fr")

    french = client.get(at(token), headers={"accept-language": "en"})
    client.post(reverse("people:language"), {"language": "en", "next": at(token)})
    english = client.get(at(token))

    assert 'lang="fr"' in words(french)
    assert "Sign and send the decision" in words(english)
    assert '<html lang="en">' in words(english)


# Deciding ------------------------------------------------------------------------------------


def test_a_decision_is_sent_and_thanked_for(client, offer, token, case):
    answer = client.post(at(token), SAID, follow=True)

    consent = Consent.objects.get()
    page = words(answer)
    assert answer.redirect_chain == [(reverse("estimates:thanks"), 302)]
    assert "This is what you agreed to" in page
    assert "The seam of a test" in page
    assert factories.paper_of(offer).code in page
    assert (consent.how, consent.noted_by) == ("link", None)
    assert consent.option is not None and consent.option.kind == "safe"
    assert AgreedWork.objects.get().noted_by is None


def test_the_thanks_are_for_the_window_that_decided(client, token):
    client.post(at(token), SAID)

    assert Browser().get(reverse("estimates:thanks")).status_code == 410
    assert client.get(reverse("estimates:thanks")).status_code == 200


def test_a_decision_may_be_declined(client, token):
    answer = client.post(at(token), {"choice": "declined", "name": "Garance Ollivant"}, follow=True)

    assert "no work is done" in words(answer)
    assert Consent.objects.get().decision == "declined"
    assert client.get(at(token)).status_code == 410


def test_what_cannot_be_undone_may_be_agreed_to_by_the_link(client, token):
    client.post(at(token), SAID | {"choice": "2", "irreversible_agreed": "on"})

    assert Consent.objects.get().irreversible_agreed


def test_a_faulty_decision_uses_nothing_up(client, token):
    answer = client.post(at(token), SAID | {"choice": "2"})

    assert "must be agreed to by itself" in words(answer)
    assert ConsentLink.objects.get().used_at is None
    assert client.post(at(token), SAID).status_code == 302


# What opens nothing --------------------------------------------------------------------------


def spent_pages(client, token, offer, armand):
    """Each way in which a link opens nothing, one after the other."""
    now = timezone.now()
    yield "guessed", client.get(at("x" * 43))
    yield "much too long", client.get(at("x" * 5000))
    ConsentLink.objects.update(expires_at=now)
    yield "expired", client.get(at(token))
    ConsentLink.objects.update(expires_at=now + dt.timedelta(days=1), revoked_at=now)
    yield "closed", client.get(at(token))
    ConsentLink.objects.update(revoked_at=None)
    client.post(at(token), {"choice": "declined", "name": "Garance Ollivant"})
    yield "used", client.get(at(token))
    yield "used twice", client.post(at(token), SAID)


def test_every_link_that_opens_nothing_answers_the_same(client, token, offer, armand):
    answers = dict(spent_pages(client, token, offer, armand))

    assert {answer.status_code for answer in answers.values()} == {410}
    assert {str(LinkSpentError()) in words(answer) for answer in answers.values()} == {True}
    assert {answer["X-Robots-Tag"] for answer in answers.values()} == {"noindex, nofollow"}
    assert Consent.objects.count() == 1
    assert len({len(words(answer)) for name, answer in answers.items() if "use" in name}) == 1


def test_a_link_to_a_withdrawn_offer_opens_nothing(client, token, offer, armand):
    withdraw_estimate(offer, by=armand, at=timezone.now())

    assert client.get(at(token)).status_code == 410
    assert client.get(at(token, "decide_file")).status_code == 410


def test_a_newer_version_closes_the_links_to_the_older(client, token, offer, case, armand):
    factories.estimate(case, by=armand)

    assert ConsentLink.objects.get().revoked_at is not None
    assert client.get(at(token)).status_code == 410


def test_a_lapsed_offer_is_not_opened(token, offer, today):
    Estimate.objects.update(valid_until=today - dt.timedelta(days=1))

    with pytest.raises(LinkSpentError):
        link_of(token, at=timezone.now())


def test_guessing_is_braked(client, db, monkeypatch):
    monkeypatch.setattr("repairs.screens.throttle.time.time", lambda: 1_800_000_000.0)
    cache.clear()
    answers = [client.get(at(f"guess-{number}")).status_code for number in range(32)]

    assert answers[:30] == [410] * 30
    assert answers[-1] == 429
