"""The owner’s decision: signed, by telephone or message; and when it can be taken no more."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.cases import actions as case_actions
from repairs.estimates.actions import withdraw_estimate
from repairs.estimates.consent_models import Consent
from repairs.estimates.models import Estimate
from repairs.estimates.refusals import ConsentRefusedError
from repairs.estimates.wishes import OptionWish
from repairs.people.house_models import House
from repairs.treatment.models import AgreedWork
from tests import factories
from tests.estimates.words import spoken

# How -----------------------------------------------------------------------------------------


def test_a_name_typed_again_signs_as_well(seam_offer, armand):
    consent = factories.consent(seam_offer, by=armand, signature=[], signed_name="garance ollivant")

    assert consent.signature == []


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"signature": []}, "not signed"),
        ({"signature": [], "signed_name": "Odon"}, "not signed"),
        ({"signature": [[[0.1, 0.1], [0.11, 0.1]]]}, "cannot be read"),
        ({"signature": [[[0.1, 7], [0.9, 0.1]]]}, "cannot be read"),
        ({"option": None}, "no option"),
    ],
)
def test_what_is_not_signed_or_not_chosen_is_refused(seam_offer, armand, said, why):
    with pytest.raises(ConsentRefusedError, match=why):
        factories.consent(seam_offer, by=armand, **said)

    assert not Consent.objects.exists()


def test_an_option_of_another_version_is_refused(seam_offer, case, armand):
    second = factories.estimate(case, by=armand)

    with pytest.raises(ConsentRefusedError, match="no option of this version"):
        factories.consent(second, by=armand, option=seam_offer.options.get())


def test_a_small_job_may_be_agreed_to_by_telephone(seam_offer, armand):
    said_at = timezone.now()

    consent = factories.consent(seam_offer, by=armand, **spoken(said_at=said_at))

    assert (consent.how, consent.words) == ("telephone", "“Do the first one.”")
    assert (consent.said_at, consent.noted_by) == (said_at, armand)
    assert AgreedWork.objects.get().ceiling == Decimal("120.00")


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ({"words": " "}, "words that were said"),
        ({"confirmation": ""}, "confirmation was sent"),
        ({"said_at": timezone.now() + dt.timedelta(days=1)}, "in the future"),
        ({"said_at": timezone.now() - dt.timedelta(days=1)}, "before this version was issued"),
    ],
)
def test_what_was_said_is_noted_whole(seam_offer, armand, said, why):
    with pytest.raises(ConsentRefusedError, match=why):
        factories.consent(seam_offer, by=armand, **spoken(**said))


def test_a_refusal_by_telephone_needs_no_confirmation(seam_offer, armand):
    said = spoken(decision="declined", option=None, confirmation="")

    assert factories.consent(seam_offer, by=armand, **said).decision == "declined"


def test_above_the_limit_of_the_house_word_of_mouth_is_not_enough(seam_offer, armand):
    House.objects.update(spoken_consent_most=Decimal("119.99"))

    with pytest.raises(ConsentRefusedError, match=r"above 119\.99"):
        factories.consent(seam_offer, by=armand, **spoken(how="message"))
    House.objects.update(spoken_consent_most=Decimal("120.00"))

    assert factories.consent(seam_offer, by=armand, **spoken(how="message")).pk


def test_it_is_the_ceiling_that_counts_not_the_upper_total(house, case, armand):
    wish = OptionWish(kind="safe", ceiling=Decimal("301"), lines=[factories.work_line()])
    seam_offer = factories.estimate(case, wish, by=armand)

    with pytest.raises(ConsentRefusedError, match=r"above 300\.00"):
        factories.consent(seam_offer, by=armand, **spoken())


def test_what_cannot_be_undone_is_not_agreed_to_by_telephone(grave_offer, armand):
    with pytest.raises(ConsentRefusedError, match="word of mouth is not enough"):
        factories.consent(grave_offer, by=armand, **spoken(irreversible_agreed=True))


def test_a_sample_is_not_agreed_to_by_message(house, case, armand):
    wish = OptionWish(kind="safe", lines=[factories.work_line(is_sampling=True)])
    seam_offer = factories.estimate(case, wish, by=armand)

    with pytest.raises(ConsentRefusedError, match="samples"):
        factories.consent(seam_offer, by=armand, **spoken(how="message", irreversible_agreed=True))


def test_what_cannot_be_undone_is_agreed_to_by_itself(grave_offer, armand):
    with pytest.raises(ConsentRefusedError, match="by itself"):
        factories.consent(grave_offer, by=armand)

    consent = factories.consent(grave_offer, by=armand, irreversible_agreed=True)

    assert consent.irreversible_agreed
    assert AgreedWork.objects.get().irreversible_agreed


def test_the_tick_means_nothing_where_everything_can_be_undone_or_nothing_is_agreed(
    grave_offer, armand
):
    consent = factories.consent(
        grave_offer, by=armand, decision="declined", option=None, irreversible_agreed=True
    )

    assert not consent.irreversible_agreed


# When ----------------------------------------------------------------------------------------


def test_a_draft_cannot_be_agreed_to(house, case, armand):
    draft = factories.estimate(case, by=armand, issued=False)

    with pytest.raises(ConsentRefusedError, match="not issued yet"):
        factories.consent(draft, by=armand)


def test_a_replaced_version_cannot_be_agreed_to(seam_offer, case, armand):
    factories.estimate(case, by=armand)

    with pytest.raises(ConsentRefusedError, match="version 2 replaces it"):
        factories.consent(seam_offer, by=armand)


def test_a_draft_of_the_next_version_replaces_nothing(seam_offer, case, armand):
    factories.estimate(case, by=armand, issued=False)

    assert factories.consent(seam_offer, by=armand).pk


def test_a_withdrawn_offer_cannot_be_agreed_to(seam_offer, armand):
    withdraw_estimate(seam_offer, by=armand, at=timezone.now())

    with pytest.raises(ConsentRefusedError, match="withdrawn"):
        factories.consent(seam_offer, by=armand)


def test_a_lapsed_offer_cannot_be_agreed_to(seam_offer, armand, today):
    Estimate.objects.update(valid_until=today)
    assert factories.consent(seam_offer, by=armand).pk
    Estimate.objects.update(valid_until=today - dt.timedelta(days=1))

    with pytest.raises(ConsentRefusedError, match="valid until"):
        factories.consent(seam_offer, by=armand)


def test_nothing_is_agreed_to_when_the_stay_has_ended(seam_offer, case, armand):
    case_actions.end_unworked(case, because="too dear", by=armand, at=timezone.now())
    seam_offer.case.refresh_from_db()

    with pytest.raises(ConsentRefusedError, match="stay has ended"):
        factories.consent(seam_offer, by=armand)
