"""What an agreed estimate and recorded work give to bill, sum by sum; worked by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest

from repairs.cases.models import Case
from repairs.estimates.wishes import LineWish, OptionWish
from repairs.invoices.from_case import (
    _finding_words,
    case_lines,
    deposit_lines,
)
from repairs.treatment.part_models import MaterialUse
from repairs.treatment.parts import use_material
from tests import factories
from tests.invoices.test_from_case import AT, worked

D = Decimal


def offered(case: Case, by, signed_by, **fields) -> None:
    """An hour at 60.00, a carrier at 100.00, strings at 25.00, before 20 % tax: 222.00."""
    lines = [
        factories.work_line(minutes_low=60, minutes_high=60),
        LineWish(kind="outside", words="Carrier", amount=D(100)),
        LineWish(kind="material", words="Strings", amount=D(25)),
    ]
    offer = factories.estimate(case, OptionWish(kind="safe", lines=lines), by=by, **fields)
    factories.consent(offer, by=signed_by)


def said(case: Case) -> list[tuple[str, str, Decimal]]:
    return [(line.sort, line.description, line.unit_price) for line in case_lines(case)]


CARRIER, STRINGS = ("outside", "Carrier", D("100.00")), ("material", "Strings", D("25.00"))


def test_agreed_costs_are_billed_and_materials_until_some_are_noted(case, armand, helene, house):
    offered(case, helene, armand, survey_fee=D("40.50"))
    looked = ("free", "Looking over", D("40.50"))
    before = said(case)
    work = worked(case, armand, minutes=60)
    noted = MaterialUse(intervention=work, name="Gut", price=D("3.50"))
    use_material(noted, by=armand, at=AT)

    assert before == [looked, CARRIER, STRINGS]
    assert said(case) == [
        looked,
        ("hours", "Seam at the heel", D("60.00")),
        ("material", "Gut", D("3.50")),
        CARRIER,
    ]


@pytest.mark.parametrize(("pct", "prices"), [(30, [D("55.50")]), (100, [D("185.00")]), (0, [])])
def test_the_deposit_is_the_share_of_the_whole_before_tax(case, armand, helene, house, pct, prices):
    """30 % of 222.00 are 66.60 with 20 % tax: 55.50 before it."""
    offered(case, helene, armand, deposit_pct=pct)

    lines = list(deposit_lines(case))

    assert [line.unit_price for line in lines] == prices
    for line in lines:
        assert line.quantity == 1
        assert line.description.startswith(f"Deposit of {pct}")
        assert line.description.endswith("version 1")


def test_long_words_of_an_estimate_are_cut_to_what_a_line_holds(case, armand, helene, house):
    lines = [
        factories.work_line(minutes_low=60, minutes_high=60),
        LineWish(kind="outside", words="w" * 250, amount=D(1)),
        LineWish(kind="outside", amount=D(2)),
        LineWish(kind="material", amount=D(3)),
    ]
    offer = factories.estimate(case, OptionWish(kind="safe", lines=lines), by=helene)
    factories.consent(offer, by=armand)

    assert said(case) == [
        ("outside", "w" * 200, D("1.00")),
        ("outside", "cost from outside", D("2.00")),
        ("material", "material", D("3.00")),
    ]


def test_without_an_agreement_no_deposit_is_asked(case, house):
    assert list(deposit_lines(case)) == []


def test_work_without_minutes_or_without_a_rate_gives_no_line(case, armand, house):
    worked(case, armand, minutes=30, hourly_rate=None)
    factories.begun_work(factories.agreed_work(case, "free", by=armand), by=armand)

    assert said(case) == []


@pytest.mark.parametrize(
    ("numbers", "words"),
    [([], ""), (["2"], "for finding 2"), (["2", "5"], "for findings 2, 5")],
)
def test_the_findings_of_a_work_are_named(numbers, words):
    assert _finding_words(numbers) == words
