"""What an offer says, cell by cell: the table that sets the options side by side, and each option.

Figures by hand: at 60.00 an hour and 20 %, one hour is 72.00 and an hour and a half 108.00.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from repairs.estimates.compile import estimate_sheet, stop_words
from repairs.estimates.document import EstimateContent
from repairs.estimates.totals import Line, Rates, option_totals
from repairs.estimates.weighed import WeighedRow, weighed
from repairs.estimates.wishes import LineWish, OptionWish
from tests import factories

D = Decimal
GUT = LineWish(kind="material", words="gut strings", amount=D("48.60"))
XRAY = LineWish(kind="outside", words="x-ray", amount=D("80"))


@pytest.fixture
def say(house, case, armand):
    def body(*wishes: OptionWish, **fields: Any) -> EstimateContent:
        row = factories.estimate(case, *wishes, by=armand, issued=False, **fields)
        sheet = estimate_sheet(row, language="en", made_at=timezone.now())
        assert isinstance(sheet.body, EstimateContent)
        return sheet.body

    return body


def plain(words: str) -> str:
    return words.replace("\u00a0", " ").replace("\u202f", " ")


def cells(row: WeighedRow) -> list[Any]:
    """What stands in a row, as it is read."""
    told: dict[str, Callable[[Any], Any]] = {
        "works": lambda cell: (cell.like, [line.title for line in cell.lines], cell.more),
        "for_good": lambda cell: (*cell.irreversible, *cell.sampling),
        "sum": lambda cell: (plain(cell.ceiling), plain(cell.total), plain(cell.hours)),
    }
    return [told.get(row.kind, plain)(cell) for cell in row.cells]


def rows(body: EstimateContent) -> dict[str, list[Any]]:
    [beside] = weighed(body.options)
    return {row.label: cells(row) for row in beside.rows}


def test_two_options_are_set_side_by_side_row_by_row(say):
    """Safe: 60.00 to 90.00, with 20 % 72.00 to 108.00. Full: 120.00 to 240.00 and 128.60 of costs,
    so 248.60 to 368.60; 20 % are 49.72 and 73.72; 298.32 to 442.32."""
    body = say(
        OptionWish(kind="safe", lines=[factories.work_line()], left_out="The set-up."),
        OptionWish(
            kind="full",
            promise="As it was.",
            risk="The old tuning is lost.",
            ceiling=D("500"),
            lines=[factories.work_line("turning"), GUT, XRAY],
        ),
    )

    assert list(rows(body).items()) == [
        ("What it gives", ["", "As it was."]),
        ("Work", [(0, ["The seam of a test"], 0), (0, ["The turning of a test", "X-ray"], 0)]),
        ("Not included", ["The set-up.", "Whatever is not named above."]),
        ("Risk", ["", "The old tuning is lost."]),
        ("Cannot be undone", [(), ("The turning of a test",)]),
        (
            "Never more without a new consent",
            [
                ("108.00 EUR", "72.00 – 108.00 EUR", "1 h – 1 h 30"),
                ("500.00 EUR", "298.32 – 442.32 EUR", "2 h – 4 h"),
            ],
        ),
    ]
    assert [option.number for option in body.options] == [1, 2]
    assert [(plain(one.net), plain(one.tax)) for one in body.options] == [
        ("60.00 – 90.00 EUR", "12.00 – 18.00 EUR"),
        ("248.60 – 368.60 EUR", "49.72 – 73.72 EUR"),
    ]


def test_a_row_that_is_empty_everywhere_is_left_out(say):
    body = say(tax_pct=D(0))

    assert list(rows(body)) == ["Work", "Not included", "Never more without a new consent"]
    assert body.options[0].tax == ""


def test_a_sample_that_is_used_up_cannot_be_undone_either(say):
    lines = [factories.work_line("turning"), factories.work_line(is_sampling=True)]
    body = say(OptionWish(kind="full", lines=lines))

    [option] = body.options
    assert option.irreversible == ("The turning of a test",)
    assert option.sampling == ("The seam of a test",)
    assert rows(body)["Cannot be undone"] == [("The turning of a test", "The seam of a test")]


def test_a_line_of_work_bears_its_procedure_and_a_cost_its_words(say, finding):
    work = factories.work_line("turning", findings=[finding], words="at the heel")
    [option] = say(OptionWish(kind="safe", lines=[work, GUT])).options

    first, second = option.lines
    assert (first.kind, first.title, first.words) == (
        "work",
        "The turning of a test",
        "at the heel",
    )
    assert (first.procedure, first.procedure_version, first.is_irreversible) == ("turning", 1, True)
    assert [number for number, _words in first.findings] == [1]
    assert (plain(first.hours), plain(first.amount)) == ("2 h – 4 h", "120.00 – 240.00 EUR")
    assert (second.kind, second.title, second.words) == ("material", "Gut strings", "")
    assert (second.procedure, second.procedure_version, second.is_irreversible) == ("", 0, False)
    assert (second.hours, plain(second.amount)) == ("", "48.60 EUR")


def test_work_that_can_be_undone_is_not_marked(say):
    [option] = say().options

    assert [line.is_irreversible for line in option.lines] == [False]
    assert (option.irreversible, option.sampling) == ((), ())


@pytest.mark.parametrize(
    ("fields", "fee", "deposit"),
    [
        ({}, "", ""),
        ({"survey_fee": D("40"), "deposit_pct": 30}, "40.00 EUR", "36.00 EUR"),  # 30 % of 120.00
    ],
)
def test_a_fee_and_a_deposit_are_named_only_where_there_is_one(say, fields, fee, deposit):
    body = say(**fields)

    assert (plain(body.survey_fee), plain(body.options[0].deposit)) == (fee, deposit)


def test_each_procedure_is_told_once(say):
    seam, turning = factories.work_line(), factories.work_line("turning")
    body = say(
        OptionWish(kind="safe", lines=[seam, GUT]), OptionWish(kind="full", lines=[seam, turning])
    )

    told = [(one.title, one.purpose, one.is_irreversible) for one in body.procedures]
    assert told == [
        ("The seam of a test", "To try it.", False),
        ("The turning of a test", "To try it.", True),
    ]


def test_parts_of_one_protected_material_are_named_together(say, case):
    first, second = case.instrument.parts.all()[:2]
    for part in (first, second):
        part.material = "ivory_elephant"
        part.save()

    [(names, material, note)] = say().protected
    assert names == f"{first.label()}; {second.label()}"
    assert material
    assert note


@pytest.mark.parametrize(
    ("ceiling", "asks_at"),
    [
        ("109.99", "passes 109.99\u00a0EUR, tax included. You never pay more than that"),
        ("110.00", "passes 110.00\u00a0EUR, tax included. You never pay more than that"),
        ("110.01", "passes 110.00\u00a0EUR, tax included: the upper total and 10 %"),
    ],
)
def test_one_figure_is_named_where_the_place_to_ask_is_the_ceiling(ceiling, asks_at):
    """The upper total is 100.00, and 10 % above it 110.00."""
    totals = option_totals([Line(fixed=D("100"))], Rates(hourly_rate=D("50")), D(ceiling))

    assert asks_at in stop_words(totals, 10, "EUR")


def test_the_day_of_validity_is_written_out(say):
    assert plain(say(valid_until=dt.date(2030, 1, 31)).valid_until) == "31 January 2030"
