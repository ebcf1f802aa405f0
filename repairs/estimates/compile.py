"""From the tables to the frozen estimate, in the language of its reader."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from django.db.models import Prefetch
from django.utils import translation
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from repairs.estimates.document import (
    EstimateContent,
    LineBlock,
    OptionBlock,
    ProcedureBlock,
)
from repairs.estimates.models import Estimate, Option, OptionLine
from repairs.estimates.paper_kinds import ESTIMATE
from repairs.estimates.pictured import pictures_of
from repairs.estimates.totals import (
    OptionTotals,
    Rates,
    figures_of,
    line_range,
    rates_of,
    totals_of,
)
from repairs.findings.models import Finding
from repairs.instruments.kinds import material_label
from repairs.language.dates import day_words
from repairs.language.durations import hours_words
from repairs.language.text import decimal_words, in_language, semicolons
from repairs.money import amount_words, money_words
from repairs.people.block import house_block
from repairs.people.house_models import House
from repairs.press.document import Seal, Sheet


def estimate_sheet(
    estimate: Estimate, *, language: str, made_at: dt.datetime, seal: Seal | None = None
) -> Sheet:
    """Compile the estimate as it stands; one that is not complete yet has gaps, but compiles."""
    case = estimate.case
    with translation.override(language):
        return Sheet(
            kind=ESTIMATE,
            template="estimates/estimate.html",
            subject=case.log_key,
            language=language,
            title=_("Estimate %(number)s") % {"number": case.number},
            reference=case.instrument.number,
            house=house_block(),
            made_at=made_at,
            seal=seal,
            body=_content(estimate),
        )


def options_of(estimate: Estimate) -> list[Option]:
    """The options with their lines, procedures and findings, in three queries.

    What a row points at is joined and not prefetched: SQLite bears no thousand of those.
    """
    lines: Any = Prefetch("lines", OptionLine.objects.select_related("version"))
    seen = Finding.objects.select_related("part__instrument")
    found: Any = Prefetch("lines__findings", seen)
    return list(estimate.options.prefetch_related(lines, found))


def _content(estimate: Estimate) -> EstimateContent:
    case, rates = estimate.case, rates_of(estimate)
    rows = options_of(estimate)
    options = tuple(
        _option_block(number, row, estimate, rates) for number, row in enumerate(rows, 1)
    )
    currency = estimate.currency
    return EstimateContent(
        case_number=case.number,
        instrument_number=case.instrument.number,
        instrument=str(case.instrument),
        owner=(case.owner.name, *case.owner.address_lines),
        version=estimate.version,
        intro=estimate.intro,
        owner_words=case.owner_words,
        pictures=pictures_of(case, rows),
        options=options,
        procedures=_procedures(rows),
        rate=_("%(amount)s an hour") % {"amount": money_words(estimate.hourly_rate, currency)},
        survey_fee=money_words(estimate.survey_fee or None, currency),
        tax_pct=decimal_words(estimate.tax_pct),
        tax_words=estimate.tax_words,
        currency=currency,
        valid_until=day_words(estimate.valid_until),
        deposit_pct=estimate.deposit_pct,
        protected=_protected(estimate),
        spoken_most=money_words(House.present().spoken_consent_most, currency),
    )


def _option_block(number: int, option: Option, estimate: Estimate, rates: Rates) -> OptionBlock:
    totals = totals_of(option, rates)
    lines = tuple(_line_block(line, estimate) for line in option.lines.all())
    currency = estimate.currency
    return OptionBlock(
        number=number,
        kind=option.kind,
        kind_label=option.get_kind_display(),
        title=option.title,
        promise=option.promise,
        lines=lines,
        hours=hours_words(totals.minutes_low, totals.minutes_high),
        net=range_words(totals.net_low, totals.net_high, currency),
        tax=range_words(totals.tax_low, totals.tax_high, currency) if estimate.tax_pct else "",
        total=range_words(totals.total_low, totals.total_high, currency),
        ceiling=money_words(totals.ceiling, currency),
        stop_words=stop_words(totals, estimate.stop_pct, currency),
        deposit=money_words(totals.deposit or None, currency),
        risk=option.risk,
        reversibility=option.reversibility,
        left_out=option.left_out,
        irreversible=tuple(line.title for line in lines if line.is_irreversible),
        sampling=tuple(line.title for line in lines if line.is_sampling),
        totals=totals,
    )


def _line_block(line: OptionLine, estimate: Estimate) -> LineBlock:
    procedure = line.version.procedure if line.version else None
    figures = figures_of(line)
    low, high = line_range(figures, estimate.hourly_rate)
    title = capfirst(str(procedure)) if procedure else capfirst(line.words)
    return LineBlock(
        kind=line.kind,
        kind_label=line.get_kind_display(),
        title=title,
        words=line.words if procedure else "",
        procedure=procedure.key if procedure else "",
        procedure_version=line.version.version if line.version else 0,
        findings=tuple((one.number, finding_words(one)) for one in line.findings.all()),
        hours=hours_words(figures.minutes_low, figures.minutes_high),
        amount=range_words(low, high, estimate.currency),
        is_irreversible=bool(procedure and procedure.is_irreversible),
        is_sampling=line.is_sampling,
    )


def _procedures(options: list[Option]) -> tuple[ProcedureBlock, ...]:
    """Each wording of a procedure that the options name, once, in the order of the lines."""
    versions = [line.version for option in options for line in option.lines.all()]
    named = {row.pk: row.procedure for row in versions if row is not None}
    return tuple(
        ProcedureBlock(
            title=capfirst(str(procedure)),
            purpose=in_language(procedure.purpose),
            reversibility=in_language(procedure.reversibility),
            is_irreversible=procedure.is_irreversible,
        )
        for procedure in named.values()
    )


def finding_words(finding: Finding) -> str:
    """What was seen, and on which part: “crack, soundboard”."""
    return f"{finding.term_label}, {finding.part.label()}"


def range_words(low: Decimal, high: Decimal, currency: str) -> str:
    """“180.00 – 240.00 EUR”, or one amount when both are the same."""
    if low == high:
        return money_words(low, currency)
    return f"{amount_words(low)} – {money_words(high, currency)}"


def stop_words(totals: OptionTotals, stop_pct: int, currency: str) -> str:
    """Where the workshop stops and asks, in plain words."""
    ceiling = money_words(totals.ceiling, currency)
    if totals.stop_at >= totals.ceiling:
        return _(
            "We stop and ask you before the bill passes %(ceiling)s, tax included. You never pay "
            "more than that without a new consent."
        ) % {"ceiling": ceiling}
    return _(
        "We stop and ask you before the bill passes %(stop)s, tax included: the upper total and "
        "%(pct)s %%. You never pay more than the ceiling of %(ceiling)s without a new consent."
    ) % {
        "stop": money_words(totals.stop_at, currency),
        "pct": stop_pct,
        "ceiling": ceiling,
    }


def _protected(estimate: Estimate) -> tuple[tuple[str, str, str], ...]:
    """Parts of protected material, once a material: its parts, its name, what the rules say."""
    instrument = estimate.case.instrument
    parts: dict[tuple[str, str], list[str]] = {}
    for part in instrument.parts.all():
        part.instrument = instrument
        if part.protection:
            said = material_label(part.material), in_language(part.protection["note"])
            parts.setdefault(said, []).append(part.label())
    return tuple((semicolons(names), *said) for said, names in parts.items())
