"""The page on which an estimate is written: what is typed, and what is kept of it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from repairs.estimates.models import Estimate
from tests import factories
from tests.estimates.screens import at, sent, words


def test_an_empty_list_offers_the_first_estimate(luthier, case):
    page = words(luthier.get(reverse("estimates:list", args=[case.number])))

    assert "Nothing is offered yet" in page
    assert "Write an estimate" in page


def test_an_instrument_of_the_house_is_told_that_it_needs_none(luthier, vielle, armand):
    case = factories.case(vielle, by=armand, reason="house")

    page = words(luthier.get(reverse("estimates:list", args=[case.number])))
    answer = luthier.post(reverse("estimates:new", args=[case.number]))

    assert "the principal agrees to its work in the case" in page
    assert "Write an estimate" not in page
    assert answer.status_code == 409


def test_a_new_version_is_opened_by_the_button(luthier, case):
    answer = luthier.post(reverse("estimates:new", args=[case.number]))

    assert answer["Location"] == at("edit", Estimate.objects.get())


def test_the_page_begins_with_the_three_usual_ways(luthier, draft):
    page = words(luthier.get(at("edit", draft)))

    for way in ("The minimum that keeps it safe", "Make it playable", "Full restoration"):
        assert f"· {way} </summary>" in page
    assert 'value="50' in page  # the rate of the house
    assert "The seam of a test (1\u00a0h – 1\u00a0h\u00a030)" in page


def test_what_is_typed_is_kept_with_comma_and_point(luthier, draft, finding):
    typed = sent(
        **{
            "hourly_rate": "62,50",
            "survey_fee": "40.5",
            "o1-ceiling": "250",
            "o1-risk": "It may open.",
            "o1l1-findings": ["1"],
            "o1l1-minutes_low": "30",
            "o1l1-minutes_high": "45",
            "o1l2-what": "material",
            "o1l2-words": "glue",
            "o1l2-amount": "8,40",
        }
    )

    answer = luthier.post(at("edit", draft), typed)

    assert answer["Location"] == at("detail", draft)
    row = Estimate.objects.get()
    option = row.options.get()
    work, glue = option.lines.all()
    assert (row.hourly_rate, row.survey_fee) == (Decimal("62.50"), Decimal("40.50"))
    assert (option.ceiling, option.risk) == (Decimal("250.00"), "It may open.")
    assert (work.minutes_low, work.minutes_high, list(work.findings.all())) == (30, 45, [finding])
    assert (glue.kind, glue.words, glue.amount) == ("material", "glue", Decimal("8.40"))


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ({}, (60, 90)),  # the usual minutes of the procedure
        ({"o1l1-minutes_low": "20"}, (20, 20)),
        ({"o1l1-minutes_high": "70"}, (70, 70)),
        ({"o1l1-amount": "99"}, (None, None)),
    ],
)
def test_minutes_left_empty_are_the_usual_ones(luthier, draft, typed, kept):
    luthier.post(at("edit", draft), sent(**typed))

    line = Estimate.objects.get().options.get().lines.get()
    assert (line.minutes_low, line.minutes_high) == kept


@pytest.mark.parametrize(
    ("typed", "minutes", "understood"),
    [
        ("1 h 30", 90, "“1 h 30” is 1\u00a0h\u00a030."),
        ("1h30", 90, "“1h30” is 1\u00a0h\u00a030."),
        ("1:30", 90, "“1:30” is 1\u00a0h\u00a030."),
        ("90 min", 90, "“90 min” is 1\u00a0h\u00a030."),
        ("1,5", 90, "“1,5” is 1\u00a0h\u00a030."),
        ("1.25 h", 75, "“1.25 h” is 1\u00a0h\u00a015."),
        ("2 heures", 120, "“2 heures” is 2\u00a0h."),
        ("90", 90, ""),
    ],
)
def test_minutes_may_be_typed_as_hours_and_the_page_says_what_it_understood(
    luthier, draft, typed, minutes, understood
):
    answer = luthier.post(at("edit", draft), sent(**{"o1l1-minutes_low": typed}), follow=True)

    line = Estimate.objects.get().options.get().lines.get()
    assert (line.minutes_low, line.minutes_high) == (minutes, minutes)
    assert understood in words(answer)
    assert ("” is " in words(answer)) is bool(understood)
