"""Sums of an invoice against those of published examples."""

from __future__ import annotations

import dataclasses
import json
from decimal import Decimal
from pathlib import Path

import pytest

from repairs.einvoice.document import Allowance, Deposit
from repairs.einvoice.totals import totals_of
from repairs.money import rounded
from tests.einvoice.samples import line
from tests.einvoice.sums import NAMES, with_lines

PUBLISHED = json.loads(
    (Path(__file__).with_name("published") / "en16931_figures.json").read_text(encoding="utf-8")
)
D = Decimal


def _ours(example) -> bool:
    """Whether an example keeps to what our own invoices keep to: no negatives, exact lines."""
    return example["rounding"] == "0" and all(
        D(quantity) > 0
        and D(price_of) == 1
        and D(off) >= 0
        and rounded(D(quantity) * D(price)) - D(off) == D(net)
        for quantity, price, price_of, off, net, _category, _rate in example["lines"]
    )


FITTING = [example for example in PUBLISHED if _ours(example)]


def as_ours(example):
    lines = (
        line(
            str(n),
            quantity=D(quantity),
            unit_price=D(price),
            discount=D(off),
            category=category,
            rate_pct=D(rate),
        )
        for n, (quantity, price, _of, off, _net, category, rate) in enumerate(example["lines"])
    )
    allowances = (
        Allowance(
            amount=abs(D(amount)),
            is_charge=D(amount) > 0,
            reason="as published",
            category=category,
            rate_pct=D(rate),
        )
        for amount, category, rate in example["adjustments"]
    )
    doc = with_lines(*lines, allowances=tuple(allowances))
    return dataclasses.replace(doc, deposits=(Deposit(amount=D(example["prepaid"])),))


@pytest.mark.parametrize("example", FITTING, ids=lambda example: example["file"])
def test_the_totals_of_published_invoices(example):
    """Source: published/README.md."""
    totals = totals_of(as_ours(example))

    assert {name: getattr(totals, name) for name in NAMES} == {
        name: D(amount) for name, amount in example["totals"].items()
    }


def test_enough_published_invoices_fit():
    assert len(FITTING) >= 12
