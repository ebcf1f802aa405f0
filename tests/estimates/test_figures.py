"""What each line of an option counts for, and what keeps an offer from being issued."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from repairs.estimates.gaps import _is_unpriced, gaps
from repairs.estimates.models import Option, OptionLine
from repairs.estimates.totals import Line, figures_of
from repairs.estimates.wishes import LineWish, OptionWish
from tests import factories

D = Decimal


@pytest.mark.parametrize(
    ("line", "figures"),
    [
        ({}, Line(minutes_low=0, minutes_high=0, fixed=None)),
        ({"minutes_low": 30}, Line(minutes_low=30, minutes_high=30)),
        ({"minutes_low": 30, "minutes_high": 45}, Line(minutes_low=30, minutes_high=45)),
        ({"minutes_high": 45}, Line(minutes_low=0, minutes_high=45)),
        ({"minutes_low": 0, "minutes_high": 0}, Line(minutes_low=0, minutes_high=0)),
        ({"amount": D("75")}, Line(fixed=D("75"))),
        ({"kind": "material", "amount": D("12.50")}, Line(fixed=D("12.50"))),
        ({"kind": "material"}, Line(fixed=D(0))),  # a cost that is still missing is nothing
        ({"kind": "outside"}, Line(fixed=D(0))),
    ],
)
def test_what_a_line_counts_for(line, figures):
    assert figures_of(OptionLine(**{"kind": "work", **line})) == figures


@pytest.mark.parametrize(
    ("line", "unpriced"),
    [
        ({}, True),
        ({"minutes_low": 0, "minutes_high": 0}, True),
        ({"minutes_low": 0, "minutes_high": 5}, False),
        ({"minutes_low": 5}, False),
        ({"minutes_low": 5, "minutes_high": 9}, False),
        ({"amount": D(0)}, False),  # a gift has its price
        ({"kind": "material"}, True),
        ({"kind": "outside", "minutes_low": 5, "minutes_high": 9}, True),
        ({"kind": "material", "amount": D("3")}, False),
    ],
)
def test_a_line_wants_minutes_or_an_amount_and_a_cost_an_amount(line, unpriced):
    assert bool(_is_unpriced(OptionLine(**{"kind": "work", **line}))) is unpriced


BARE: dict[str, Any] = {"minutes_low": None, "minutes_high": None}


def told(case, armand, today, *wishes: OptionWish) -> list[str]:
    return gaps(factories.estimate(case, *wishes, by=armand, issued=False), today)


def test_every_gap_is_told_with_the_number_of_its_option(house, case, armand, today):
    bare, full = factories.work_line(**BARE), factories.work_line()
    material = LineWish(kind="material", words="glue")

    assert told(
        case,
        armand,
        today,
        OptionWish(kind="safe", lines=[full]),
        OptionWish(kind="full", lines=[bare, material]),
        OptionWish(kind="other", lines=[bare, full], ceiling=D("10")),
        OptionWish(kind="other"),
    ) == [
        "Option 2: 2 lines have neither minutes nor an amount.",
        "Option 3: 1 line has neither minutes nor an amount.",
        "Option 3: its ceiling lies below its lower total.",
        "Option 4: it has no work under a procedure.",
    ]


@pytest.mark.parametrize(
    ("ceiling", "found"),
    [
        (None, []),
        ("72.01", []),
        ("72.00", []),  # an hour at 60.00 with 20 %
        ("71.99", ["Option 1: its ceiling lies below its lower total."]),
    ],
)
def test_a_ceiling_may_be_the_lower_total_and_no_cent_less(
    house, case, armand, today, ceiling, found
):
    most = ceiling and D(ceiling)
    wish = OptionWish(kind="safe", ceiling=most, lines=[factories.work_line()])

    assert told(case, armand, today, wish) == found


def test_an_offer_is_good_on_its_last_day(house, case, armand, today):
    row = factories.estimate(case, by=armand, issued=False, valid_until=today)

    assert gaps(row, today) == []


@pytest.mark.parametrize(
    ("title", "words"), [("as in 1771", "as in 1771"), ("", "make it playable")]
)
def test_an_option_is_named_by_its_title_or_its_kind(title, words):
    assert str(Option(kind="playable", title=title)) == words


def test_a_line_is_named_by_its_words_or_its_procedure(db):
    version = factories.procedure("seam")

    assert str(OptionLine(kind="work", words="at the heel", version=version)) == "at the heel"
    assert str(OptionLine(kind="work", version=version)) == version.label
    assert str(OptionLine(kind="material")) == ""
