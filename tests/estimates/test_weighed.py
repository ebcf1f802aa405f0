"""What stands on the page that is signed and what in the detail: nothing twice, nothing lost."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone, translation

from repairs.estimates import weighed as page
from repairs.estimates.compile import estimate_sheet
from repairs.estimates.document import EstimateContent
from repairs.estimates.wishes import LineWish, OptionWish
from tests import factories

D = Decimal
GLUE = LineWish(kind="material", words="glue", amount=D("10"))


@pytest.fixture
def say(house, case, armand):
    def body(*wishes: OptionWish, **fields: Any) -> EstimateContent:
        row = factories.estimate(case, *wishes, by=armand, issued=False, **fields)
        sheet = estimate_sheet(row, language="en", made_at=timezone.now())
        assert isinstance(sheet.body, EstimateContent)
        return sheet.body

    return body


def works(body: EstimateContent) -> tuple[Any, ...]:
    [beside] = page.weighed(body.options)
    return next(row.cells for row in beside.rows if row.kind == "works")


def test_an_option_that_holds_all_of_an_earlier_one_says_so_and_what_it_adds(say):
    seam, turning = factories.work_line(), factories.work_line("turning")
    body = say(
        OptionWish(kind="safe", lines=[seam, GLUE]), OptionWish(kind="full", lines=[seam, turning])
    )

    first, second = works(body)
    assert (first.like, [line.title for line in first.lines]) == (0, ["The seam of a test"])
    assert (second.like, [line.title for line in second.lines]) == (1, ["The turning of a test"])


def test_the_same_work_in_other_words_is_another_work(say):
    body = say(
        OptionWish(kind="safe", lines=[factories.work_line(words="at the heel")]),
        OptionWish(kind="full", lines=[factories.work_line(words="all around")]),
    )

    assert [cell.like for cell in works(body)] == [0, 0]


def test_more_works_than_page_one_has_room_for_are_counted(say):
    lines = [factories.work_line(words=f"place {number}") for number in range(10)]
    [cell] = works(say(OptionWish(kind="full", lines=lines)))

    assert (len(cell.lines), cell.more) == (page.MOST_WORKS, 10 - page.MOST_WORKS)


def test_an_option_of_materials_alone_names_them(say):
    [cell] = works(say(OptionWish(kind="other", lines=[GLUE])))

    assert [line.title for line in cell.lines] == ["Glue"]


def test_every_line_stands_once_with_the_options_that_contain_it(say, finding):
    seam = factories.work_line(findings=[finding])
    turning = factories.work_line("turning", findings=[finding])
    body = say(
        OptionWish(kind="safe", lines=[seam, GLUE]), OptionWish(kind="full", lines=[seam, turning])
    )

    told = [(row.line.title, row.options, row.procedure is not None) for row in page.detail(body)]
    assert told == [
        ("The seam of a test", (1, 2), True),
        ("Glue", (1,), False),
        ("The turning of a test", (2,), True),
    ]
    # a number is told in words where it stands first
    assert [row.findings for row in page.detail(body)] == [
        ((1, "crack, soundboard"),),
        (),
        ((1, ""),),
    ]


def test_a_long_text_is_opened_on_page_one_and_stands_whole_in_the_detail(say):
    long = "It may not close. " * 60
    body = say(
        OptionWish(kind="safe", lines=[factories.work_line()], risk=long, reversibility="Yes."),
        OptionWish(kind="full", lines=[factories.work_line("turning")], risk="Small."),
        intro="First of all. " * 40,
    )

    [beside] = page.weighed(body.options)
    said: list[Any] = [row.cells for row in beside.rows if row.label == "Risk"]
    [risk] = said
    assert risk[0].startswith("It may not close.") and risk[0].endswith("close. …")
    assert len(risk[0]) <= page.LETTERS[2] + 2
    assert risk[1] == "Small."
    assert page.opened_intro(body).endswith("First of all. …")
    assert [(told.label, told.words) for told in page.told_in_full(body)] == [
        ("To the owner", ((0, body.intro),)),
        ("Risk", ((1, body.options[0].risk),)),
        ("Reversibility", ((1, "Yes."),)),
    ]


@pytest.mark.parametrize(("options", "beside"), [(1, [1]), (4, [4]), (5, [3, 2]), (7, [3, 3, 1])])
def test_options_stand_side_by_side_as_far_as_a_page_is_wide(say, options, beside):
    wishes = [OptionWish(kind="other", lines=[factories.work_line()]) for _one in range(options)]
    body = say(*wishes)

    assert [len(one.options) for one in page.weighed(body.options)] == beside


def test_where_the_workshop_stops_is_said_once_for_all_options(say):
    with translation.override("en"):
        alone = say(OptionWish(kind="safe", lines=[factories.work_line()]))
        assert page.stops(alone) == ((0, alone.options[0].stop_words),)


def test_where_the_places_to_stop_differ_each_is_named(say):
    seam = factories.work_line()
    same = say(OptionWish(kind="safe", lines=[seam]), OptionWish(kind="full", lines=[seam]))
    apart = say(
        OptionWish(kind="safe", lines=[seam]),
        OptionWish(kind="full", lines=[seam], ceiling=D("500")),
    )

    [(number, words)] = page.stops(same)
    assert number == 0
    assert words.startswith("We stop and ask you before the bill passes the sum that stands in")
    assert page.stops(apart) == tuple((one.number, one.stop_words) for one in apart.options)
