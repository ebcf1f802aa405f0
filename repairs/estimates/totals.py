"""Sums of an option: pure arithmetic over plain numbers, exact decimals, no table and no clock.

Each line is rounded to two places, halves up, and only rounded lines are added, so that the sums on
the paper can be checked with a pencil. Tax is taken once, on the sum.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from repairs.estimates.models import Estimate, Option, OptionLine
from repairs.money import NOTHING, rounded, share, total

MINUTES_PER_HOUR = 60


@dataclass(frozen=True, kw_only=True)
class Line:
    """Minutes of work, or a fixed amount before tax, which outweighs the minutes."""

    minutes_low: int = 0
    minutes_high: int = 0
    fixed: Decimal | None = None


@dataclass(frozen=True, kw_only=True)
class Rates:
    """What holds for the whole estimate."""

    hourly_rate: Decimal
    tax_pct: Decimal = NOTHING
    survey_fee: Decimal = NOTHING
    stop_pct: int = 10
    deposit_pct: int = 0


@dataclass(frozen=True, kw_only=True)
class OptionTotals:
    """From lower to upper sum; ``ceiling`` and ``stop_at`` with tax, as the owner pays."""

    minutes_low: int
    minutes_high: int
    net_low: Decimal
    net_high: Decimal
    tax_low: Decimal
    tax_high: Decimal
    total_low: Decimal
    total_high: Decimal
    ceiling: Decimal
    stop_at: Decimal
    deposit: Decimal


def line_range(line: Line, hourly_rate: Decimal) -> tuple[Decimal, Decimal]:
    """The lower and the upper amount of a line, before tax."""
    if line.fixed is not None:
        return rounded(line.fixed), rounded(line.fixed)
    return _worth(line.minutes_low, hourly_rate), _worth(line.minutes_high, hourly_rate)


def _worth(minutes: int, hourly_rate: Decimal) -> Decimal:
    return rounded(hourly_rate * minutes / MINUTES_PER_HOUR)


def option_totals(
    lines: Iterable[Line], rates: Rates, ceiling: Decimal | None = None
) -> OptionTotals:
    """Add up an option.

    The survey fee is added once. Without a ceiling of its own, the upper total is the ceiling:
    the owner never pays more without a new consent. The workshop stops and asks when the bill
    would pass the upper total by ``stop_pct`` per cent, or the ceiling, whichever comes first; so
    the margin is of use only under a ceiling above the upper total. The deposit is a share of the
    lower total, which will be due in any case.
    """
    rows = list(lines)
    net_low, net_high = _nets(rows, rates)
    tax_low, tax_high = share(net_low, rates.tax_pct), share(net_high, rates.tax_pct)
    total_low, total_high = net_low + tax_low, net_high + tax_high
    most = total_high if ceiling is None else rounded(ceiling)
    margin = share(total_high, Decimal(rates.stop_pct))
    return OptionTotals(
        minutes_low=sum(row.minutes_low for row in rows),
        minutes_high=sum(row.minutes_high for row in rows),
        net_low=net_low,
        net_high=net_high,
        tax_low=tax_low,
        tax_high=tax_high,
        total_low=total_low,
        total_high=total_high,
        ceiling=most,
        stop_at=min(total_high + margin, most),
        deposit=share(total_low, Decimal(rates.deposit_pct)),
    )


def _nets(rows: Iterable[Line], rates: Rates) -> tuple[Decimal, Decimal]:
    """The sums before tax, low and high. Each line is rounded first: the owner adds up lines."""
    ranges = [line_range(row, rates.hourly_rate) for row in rows]
    net_low = total(low for low, _high in ranges) + rounded(rates.survey_fee)
    net_high = total(high for _low, high in ranges) + rounded(rates.survey_fee)
    return net_low, net_high


def rates_of(estimate: Estimate) -> Rates:
    """What holds for all options of a version."""
    return Rates(
        hourly_rate=estimate.hourly_rate,
        tax_pct=estimate.tax_pct,
        survey_fee=estimate.survey_fee,
        stop_pct=estimate.stop_pct,
        deposit_pct=estimate.deposit_pct,
    )


def figures_of(line: OptionLine) -> Line:
    """The numbers of a line; what is still missing counts as nothing."""
    fixed = line.amount
    if line.kind != OptionLine.Kind.WORK and fixed is None:
        fixed = Decimal(0)
    low = line.minutes_low or 0
    high = low if line.minutes_high is None else line.minutes_high
    return Line(minutes_low=low, minutes_high=high, fixed=fixed)


def totals_of(option: Option, rates: Rates) -> OptionTotals:
    """The sums of an option with the lines that it has."""
    return option_totals([figures_of(one) for one in option.lines.all()], rates, option.ceiling)
