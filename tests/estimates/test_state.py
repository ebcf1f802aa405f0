"""What became of each version, in a word; and what the case page shows."""

from __future__ import annotations

import datetime as dt

import pytest
from django.template.loader import render_to_string
from django.utils import timezone

from repairs.estimates.actions import withdraw_estimate
from repairs.estimates.models import Estimate
from repairs.estimates.state import docket_facts, estimate_lines
from tests import factories


@pytest.fixture
def offer(house, case, armand) -> Estimate:
    return factories.estimate(case, by=armand)


def states(case, today) -> list[str]:
    return [line.state.key for line in estimate_lines(case, today)]


def declined(offer, armand):
    return factories.consent(offer, by=armand, decision="declined", option=None)


def test_a_draft_is_one_until_it_is_issued(house, case, armand, today):
    factories.estimate(case, by=armand, issued=False)
    assert states(case, today) == ["draft"]

    factories.estimate(case, by=armand)
    assert states(case, today) == ["issued"]


def test_a_decision_shows_on_its_version(offer, case, armand, today):
    declined(offer, armand)
    assert states(case, today) == ["declined"]

    factories.consent(offer, by=armand)
    assert states(case, today) == ["agreed"]


def test_time_lets_only_the_undecided_lapse(offer, case, armand, today):
    after = offer.valid_until + dt.timedelta(days=1)
    assert states(case, offer.valid_until) == ["issued"]
    assert states(case, after) == ["lapsed"]

    factories.consent(offer, by=armand)
    assert states(case, after) == ["agreed"]


def test_what_was_agreed_stands_until_a_later_version_is_agreed(offer, case, armand, today):
    factories.consent(offer, by=armand)
    later = factories.estimate(case, by=armand)
    assert states(case, today) == ["issued", "agreed"]

    factories.consent(later, by=armand)
    assert states(case, today) == ["agreed", "replaced"]


def test_a_later_issue_replaces_what_was_not_decided(offer, case, armand, today):
    factories.estimate(case, by=armand, issued=False)
    assert states(case, today) == ["draft", "issued"]

    factories.estimate(case, by=armand)
    assert states(case, today) == ["issued", "replaced"]


def test_a_withdrawn_offer_says_so(offer, case, armand, today):
    withdraw_estimate(offer, by=armand, at=timezone.now())

    assert states(case, today) == ["withdrawn"]


def test_a_state_is_a_word_and_a_sign(offer, case, armand, today):
    (line,) = estimate_lines(case, today)

    assert (line.state.sign, line.state.label) == ("◐", "issued, not decided")


def test_the_docket_has_its_facts_in_few_queries(
    offer, case, armand, django_assert_max_num_queries
):
    factories.consent(offer, by=armand)
    factories.estimate(case, by=armand, issued=False)

    with django_assert_max_num_queries(4):
        facts = docket_facts(case)
        words = render_to_string(
            "bench/_estimates.html", {"case": case, "may": {"estimate": True}, **facts}
        )

    assert "Version 2" in words
    assert "Decision 1" in words
    assert "Garance Ollivant" in words


@pytest.mark.parametrize(
    ("reason", "said"),
    [("repair", "Nothing is offered yet"), ("survey", "needs no estimate")],
)
def test_an_empty_docket_says_what_goes_there(house, vielle, armand, reason, said):
    case = factories.case(vielle, by=armand, reason=reason)

    words = render_to_string(
        "bench/_estimates.html", {"case": case, "may": {"estimate": True}, **docket_facts(case)}
    )

    assert said in words
    assert ("Write an estimate" in words) == (reason == "repair")
