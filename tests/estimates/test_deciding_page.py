"""The pages on which a decision is noted in the house, and its record."""

from __future__ import annotations

import json

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse
from django.utils import timezone

from repairs.cases.models import Case
from repairs.estimates.actions import withdraw_estimate
from repairs.estimates.consent_models import Consent
from repairs.press.models import Paper
from repairs.treatment.models import AgreedWork
from tests import factories
from tests.estimates.screens import at, words


def test_the_owner_signs_on_the_premises(luthier, offer, case):
    signature = json.dumps(factories.SIGNATURE)
    shown = words(luthier.get(at("premises", offer)))
    said = {"choice": "1", "name": "Garance Ollivant", "signature": signature}

    answer = luthier.post(at("premises", offer), said)

    consent = Consent.objects.get()
    assert "1 · The minimum that keeps it safe · 72.00 – 108.00\u00a0EUR" in shown
    assert "None of them" in shown
    assert answer["Location"] == reverse("estimates:consent", args=[case.number, 1])
    assert (consent.how, consent.signature) == ("premises", factories.SIGNATURE)
    assert Case.objects.get(pk=case.pk).step == "agreed"
    assert "<path" in luthier.get(answer["Location"]).content.decode()


def test_the_owner_signs_by_typing_without_script(luthier, offer):
    said = {"choice": "1", "name": "Garance Ollivant", "signed_name": "Garance Ollivant"}

    luthier.post(at("premises", offer), said)

    page = words(luthier.get(Consent.objects.get().get_absolute_url()))
    assert "Signed by typing the name: Garance Ollivant" in page


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"name": ""}, "This field is required."),
        ({"choice": "1", "name": "Garance Ollivant"}, "not signed"),
        ({"choice": "1", "name": "Garance Ollivant", "signature": "{"}, "Sign again."),
        ({"choice": "9", "name": "Garance Ollivant"}, "Select a valid choice."),
        ({"choice": "2", "name": "Odon", "signed_name": "Odon"}, "not the name of the owner"),
        (
            {"choice": "2", "name": "Garance Ollivant", "signed_name": "Garance Ollivant"},
            "must be agreed to by itself",
        ),
    ],
)
def test_a_decision_that_cannot_be_noted_is_mended_on_the_page(luthier, offer, said, why):
    answer = luthier.post(at("premises", offer), said)

    assert answer.status_code == 200
    assert why in words(answer)
    assert not Consent.objects.exists()


def test_the_owner_declines(luthier, offer):
    luthier.post(at("premises", offer), {"choice": "declined", "name": "Garance Ollivant"})

    assert Consent.objects.get().decision == "declined"
    assert not AgreedWork.objects.exists()


def test_what_was_said_by_telephone_is_noted(luthier, offer):
    now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    said = {
        "how": "telephone",
        "said_at": now,
        "name": "Garance Ollivant",
        "choice": "1",
        "words": "“The first.”",
        "confirmation": "e-mail of today",
    }
    shown = words(luthier.get(at("spoken", offer)))

    luthier.post(at("spoken", offer), said)

    page = words(luthier.get(Consent.objects.get().get_absolute_url()))
    assert "at most 300.00\u00a0EUR" in shown
    assert "irreversible_agreed" not in shown
    for kept in ("By telephone", "“The first.”", "e-mail of today"):
        assert kept in page


def test_what_no_word_can_agree_to_is_marked_and_refused_before_anything_is_asked(luthier, offer):
    now = timezone.localtime().strftime("%Y-%m-%dT%H:%M")
    said = {"how": "telephone", "said_at": now, "name": "Garance Ollivant", "choice": "2"}
    shown = words(luthier.get(at("spoken", offer)))

    page = words(luthier.post(at("spoken", offer), said | {"words": "“The second.”"}))

    assert shown.count("needs a signature or the link") == 1
    assert "Work that cannot be undone, and samples, need a signature" in page
    assert "confirmation was sent" not in page
    assert not Consent.objects.exists()


def test_a_future_call_is_refused(luthier, offer):
    said = {"how": "telephone", "said_at": "2099-01-01T10:00", "choice": "declined"}

    page = words(luthier.post(at("spoken", offer), said))

    assert "cannot have been said in the future" in page


def test_nothing_is_decided_about_a_withdrawn_offer(luthier, offer, armand):
    withdraw_estimate(offer, by=armand, at=timezone.now())

    for name in ("premises", "spoken"):
        answer = luthier.get(at(name, offer))
        told = [str(one) for one in get_messages(answer.wsgi_request)]
        assert told[-1:] == ["Nothing can be decided about this: version 1 was withdrawn."]
        assert answer["Location"] == offer.get_absolute_url()
        assert "was withdrawn" in words(luthier.get(answer["Location"]))  # told once, here


def test_the_record_is_previewed_and_issued(luthier, offer, case, armand):
    consent = factories.consent(offer, by=armand)
    place = [case.number, consent.number]

    preview = luthier.get(reverse("estimates:record_preview", args=place))
    answer = luthier.post(reverse("estimates:record", args=place))

    paper = Paper.objects.get(kind="consent_record")
    assert preview["Content-Type"] == "application/pdf"
    assert preview.content.startswith(b"%PDF")
    assert answer["Location"] == reverse("papers:detail", args=[paper.uuid])
    assert paper.data["content"]["estimate_sha256"] == consent.shown_sha256


def test_the_record_of_an_earlier_decision_is_not_issued_after_a_later_one(
    luthier, offer, case, armand
):
    first = factories.consent(offer, by=armand, decision="declined", option=None)
    factories.consent(offer, by=armand)

    answer = luthier.post(reverse("estimates:record", args=[case.number, first.number]))

    assert answer.status_code == 409
    assert not Paper.objects.filter(kind="consent_record").exists()
