"""Whether an offer still stands, on its last day and after it, and what a decision replaces."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from repairs.estimates.actions import withdraw_estimate
from repairs.estimates.models import Estimate
from repairs.estimates.standing import (
    agreement_of,
    decision_on,
    standing_decision,
    still_wanted,
    wanted_of,
    why_not_standing,
)
from repairs.estimates.state import estimate_lines
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.treatment.models import AgreedWork
from tests import factories

DAY = dt.timedelta(days=1)


@pytest.fixture
def three(house, case, armand) -> Estimate:
    """One option with two pieces of work and a material."""
    lines = [
        factories.work_line("seam", words="x" * 250),
        factories.work_line("cleats"),
        LineWish(kind="material", words="glue", amount=Decimal(3)),
    ]
    return factories.estimate(case, OptionWish(kind="full", lines=lines), by=armand)


def test_an_offer_stands_until_its_last_day_is_over(house, case, armand):
    now = timezone.now()
    row = factories.estimate(case, by=armand)

    row.valid_until = timezone.localdate(now)
    assert why_not_standing(row, now) == ""
    row.valid_until -= DAY
    assert why_not_standing(row, now).startswith("it was valid until ")


def test_why_an_offer_does_not_stand_is_said(house, case, armand):
    now = timezone.now()
    draft = factories.estimate(case, by=armand, issued=False)
    assert why_not_standing(draft, now) == "version 1 is not issued yet. Issue it first."

    first = factories.estimate(case, by=armand)
    second = factories.estimate(case, by=armand, issued=False)
    assert why_not_standing(first, now) == ""
    factories.issue_estimate(case, second, by=armand)
    assert why_not_standing(first, now) == "version 2 replaces it."
    assert why_not_standing(second, now) == ""

    first.case.ended_at = now
    assert why_not_standing(first, now) == "the stay has ended."
    withdraw_estimate(second, by=armand, at=now)
    assert why_not_standing(second, now) == "version 2 was withdrawn."


def test_the_last_word_of_the_owner_counts(house, case, armand):
    first = factories.estimate(case, by=armand)
    assert agreement_of(case) is None
    assert decision_on(first) is None
    assert standing_decision(first) is None

    agreed = factories.consent(first, by=armand)
    second = factories.estimate(case, by=armand)
    assert agreement_of(case) == decision_on(second) == agreed

    declined = factories.consent(second, by=armand, decision="declined", option=None)
    assert agreement_of(case) is None
    assert decision_on(second) == declined
    assert decision_on(first) == agreed  # of that version it is still the last


def test_the_work_of_an_option_is_its_lines_under_a_procedure(three):
    option = three.options.get()

    wanted = wanted_of(option)

    assert [one.version.key for one in wanted] == ["seam", "cleats"]
    assert len(wanted[0].title) == 200  # as much as the title of an agreed work takes
    assert AgreedWork._meta.get_field("title").max_length == 200
    assert [one.version.key for one in still_wanted(three.case, option)] == ["seam", "cleats"]


def test_what_is_begun_is_told_apart_from_what_waits(three, case, armand):
    factories.consent(three, by=armand)
    seam, _cleats = case.agreed_works.live()
    work = factories.begun_work(seam, by=armand)
    case.refresh_from_db()
    three.case = case

    decision = standing_decision(three)

    assert decision is not None
    assert decision.consent.case == case
    assert (decision.waiting, decision.works) == (1, [work])
    assert (decision.going_on, decision.done) == ([work], [])
    assert decision.kept == [(1, [work])]
    assert [one.version.key for one in still_wanted(case, three.options.get())] == ["cleats"]


@pytest.mark.parametrize(
    ("decision", "words"),
    [
        ("agreed", ("agreed", "●", "badge-good")),
        ("declined", ("declined", "✕", "badge-bad")),
    ],
)
def test_each_state_has_its_sign_and_its_colour(house, case, armand, today, decision, words):
    row = factories.estimate(case, by=armand)
    if decision:
        option = row.options.get() if decision == "agreed" else None
        factories.consent(row, by=armand, decision=decision, option=option)

    (line,) = estimate_lines(case, today)
    assert (line.state.key, line.state.sign, line.state.badge) == words
    assert [one.decision for one in line.consents] == [decision] * bool(decision)


def test_drafts_and_what_was_replaced_bear_no_colour(house, case, armand, today):
    factories.estimate(case, by=armand)
    factories.estimate(case, by=armand)
    factories.estimate(case, by=armand, issued=False)

    told = [(one.state.key, one.state.sign, one.state.badge) for one in estimate_lines(case, today)]
    assert told == [
        ("draft", "○", ""),
        ("issued", "◐", "badge-doubt"),
        ("replaced", "○", ""),
    ]


def test_an_agreement_reaches_back_over_a_version_that_was_declined(house, case, armand, today):
    first = factories.estimate(case, by=armand)
    factories.consent(first, by=armand)
    second = factories.estimate(case, by=armand)
    factories.consent(second, by=armand, decision="declined", option=None)
    third = factories.estimate(case, by=armand)
    factories.consent(third, by=armand)

    states = [one.state.key for one in estimate_lines(case, today)]
    assert states == ["agreed", "replaced", "replaced"]
