"""What the record of a decision says: who, as whom, to what, and how it was signed."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from repairs.cases.models import Case
from repairs.estimates.consent.links import make_link
from repairs.estimates.consent.record import consent_sheet, issue_record
from repairs.estimates.consent_models import Consent
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.people.models import Client
from repairs.press.refusals import PreviewOutdatedError
from tests import factories
from tests.estimates.words import spoken

AT = dt.datetime(2030, 1, 15, 9, 0, tzinfo=dt.UTC)


def body_of(consent: Consent) -> Any:
    fresh = Consent.objects.select_related("case__owner", "case__instrument").get(pk=consent.pk)
    return consent_sheet(fresh, made_at=AT).body


def test_an_agreement_is_told_with_its_works_its_costs_and_its_sums(seam_offer, armand):
    body = body_of(factories.consent(seam_offer, by=armand))

    assert (body.is_agreed, body.number, body.owner) == (True, 1, "Garance Ollivant")
    assert body.option == "Option 1: the minimum that keeps it safe"
    assert body.works == (("The seam of a test", "at the heel; for finding 1 (crack, soundboard)"),)
    assert body.others == ("Glue: 10.00\u00a0EUR",)
    sums = dict(body.sums)
    # By hand: 60 to 90 min at 60.00, with 10.00 of glue and 20 % tax.
    assert sums["Total"] == "84.00 – 120.00\u00a0EUR"
    assert sums["Never more without a new consent"] == "120.00\u00a0EUR"
    assert all(sums.values())
    assert "Deposit" not in sums


def test_an_option_with_a_title_of_its_own_is_told_by_both(offer, armand):
    chosen = offer.options.get(position=2)

    body = body_of(factories.consent(offer, by=armand, option=chosen, irreversible_agreed=True))

    assert body.option.startswith("Option 2: ")
    assert body.option.endswith(" (as in 1771)")
    assert body.sampling == ()


def test_findings_are_counted_and_their_absence_is_said(house, case, finding, armand):
    second = factories.finding(case, by=armand, part="body")
    lines = [
        factories.work_line("seam", findings=[finding, second]),
        factories.work_line("cleats"),
        LineWish(kind="outside", words="turner", amount=Decimal("31")),
    ]
    offer = factories.estimate(case, OptionWish(kind="safe", lines=lines), by=armand)

    body = body_of(factories.consent(offer, by=armand))

    both, none = (words for _title, words in body.works)
    assert both.startswith("for findings 1 (crack, soundboard), 2 (crack, ")
    assert none == "for no finding in particular"
    assert body.others == ("Turner: 31.00\u00a0EUR",)


@pytest.mark.parametrize(
    ("said", "by_typing"),
    [
        ({}, False),
        ({"signature": [], "signed_name": "Garance Ollivant"}, True),
        (spoken(), False),
    ],
    ids=["drawn", "typed", "by telephone"],
)
def test_only_a_name_that_was_typed_is_told_as_typed(seam_offer, armand, said, by_typing):
    body = body_of(factories.consent(seam_offer, by=armand, **said))

    assert body.signed_by_typing is by_typing
    assert bool(body.signature) == (said == {})


def test_a_name_typed_through_the_link_is_told_as_typed_and_noted_by_themselves(seam_offer, armand):
    link, _token = make_link(seam_offer, by=armand, at=timezone.now())
    said = {"how": "link", "signature": [], "signed_name": "Garance Ollivant"}

    body = body_of(factories.consent(seam_offer, by=None, link=link, **said))

    assert body.signed_by_typing is True
    assert body.noted.endswith(", by the person themselves")


def test_what_the_house_noted_says_who_noted_it(seam_offer, armand):
    body = body_of(factories.consent(seam_offer, by=armand))

    assert body.noted.endswith(", by Armand Sautarel")


@pytest.mark.parametrize(
    ("name", "authority"),
    [
        ("garance OLLIVANT", "owner"),
        ("Ysoline Fauvette", "owner"),
        ("Odon Perrachon", "brought the instrument, and may agree to work and cost"),
        ("Anselme Tavernier", "said that they may decide for the owner"),
    ],
    ids=["the owner", "the contact", "who brought it", "somebody else"],
)
def test_the_record_says_as_whom_the_person_decided(seam_offer, armand, name, authority):
    Client.objects.update(contact="Ysoline Fauvette")
    Case.objects.update(bringer_name="Odon Perrachon", bringer_may_agree=True)
    seam_offer.refresh_from_db()

    body = body_of(factories.consent(seam_offer, by=armand, name=name, may_decide=True))

    assert body.authority == authority


def test_the_record_of_the_newest_decision_is_issued_and_of_no_earlier_one(seam_offer, armand):
    first = factories.consent(seam_offer, by=armand)
    newest = factories.consent(seam_offer, by=armand)

    assert issue_record(newest, by=armand, at=timezone.now()).kind == "consent_record"
    with pytest.raises(PreviewOutdatedError):
        issue_record(first, by=armand, at=timezone.now())
