"""Verbs on readings: save a set, compute it, compute it anew, set a limit, keep a tool."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import Max

from repairs.audit.actions import deed, record
from repairs.cases.locks import locked_case
from repairs.gauges.base.verdict import Limit, judge
from repairs.gauges.everything import gauges
from repairs.people.models import User
from repairs.readings.key_words import with_sense
from repairs.readings.models import HouseLimit, Prescription, Reading, Result, Tool, Verdict
from repairs.readings.parse import Parsed, parse
from repairs.readings.sheets.base import Advice, FigureValue, Sheet
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.sheets.common import told_apart
from repairs.readings.words import is_worth_doing


@dataclass(frozen=True)
class Computed:
    """What a gauge made of typed values, not yet written down."""

    version: str
    given: dict[str, Any]
    output: dict[str, Any]
    figures: list[FigureValue]
    advice: list[Advice]


def compute(sheet: Sheet, raw: dict[str, Any]) -> Computed:
    """Run the gauge on typed values. Raises GaugeInputError for what the gauge refuses.

    The values have been read without problems before.
    """
    return compute_parsed(sheet, parse(sheet, raw))


def compute_parsed(sheet: Sheet, parsed: Parsed) -> Computed:
    """Run the gauge on values just read without problems. Raises GaugeInputError likewise."""
    own = house_limits(sheet.gauge)
    computed = measured(sheet, parsed, own)
    figures = [_with_house_limit(figure, own) for figure in computed.figures]
    return replace(computed, figures=figures)


def measured(sheet: Sheet, parsed: Parsed, own: Mapping[str, HouseLimit] | None = None) -> Computed:
    """The same with the gauge's own limits, without asking the database what the house set.

    ``own`` are limits of the house that the gauge's advice has to know.
    """
    given = sheet.to_input(parsed.values, parsed.rows) | _known_limits(sheet, own or {})
    gauge = gauges()[sheet.gauge]
    output = gauge.run(given)
    figures = [
        figure if figure.is_judged else replace(figure, limit=None)
        for figure in told_apart(sheet.figures(given, output))
    ]
    advice = [line for line in sheet.advice(given, output) if is_worth_doing(line)]
    return Computed(gauge.version, given, output, figures, advice)


def _known_limits(sheet: Sheet, own: Mapping[str, HouseLimit]) -> dict[str, float]:
    """The upper ends that the gauge asks for, by the names of its inputs."""
    known = {name: own[key].upper for key, name in sheet.limit_inputs.items() if key in own}
    return {name: upper for name, upper in known.items() if upper is not None}


def _with_house_limit(figure: FigureValue, own: Mapping[str, HouseLimit]) -> FigureValue:
    if not figure.is_judged:
        return figure
    limit = own.get(figure.key.partition(":")[0])
    if limit is None:
        return figure
    return replace(figure, limit=Limit(limit.lower, limit.upper, figure.unit, limit.source))


def house_limits(gauge: str) -> dict[str, HouseLimit]:
    """The limits that the workshop set last for the figures of a gauge."""
    rows = HouseLimit.objects.filter(gauge=gauge).order_by("set_at", "pk")
    return {row.figure: row for row in rows}


def house_limit(gauge: str, figure: str) -> HouseLimit | None:
    """The limit that the workshop set last for this figure, if it set one."""
    return house_limits(gauge).get(figure)


@deed()
def save_reading(
    reading: Reading, computed: Computed | None = None, *, by: User, at: dt.datetime
) -> Reading:
    """Keep the set as typed and what the gauge makes of it, together or not at all.

    ``computed`` is what the gauge made of it just now; left out, it is asked here. A reading that
    the case does not permit is kept as such and claims nothing. Raises GaugeInputError when the
    gauge refuses the values.
    """
    case = locked_case(reading.case_id)
    last = case.readings.aggregate(last=Max("number"))["last"] or 0
    reading.number = last + 1
    reading.taken_by, reading.saved_at = by, at
    reading.save()
    if not reading.not_permitted:
        computed = computed or compute(sheet_of(reading.gauge), reading.raw)
        _write_result(reading, computed, at)
    record(
        by,
        "reading.taken",
        reading.case,
        at=at,
        reading=reading.number,
        gauge=reading.gauge,
        phase=reading.phase,
        permitted=not reading.not_permitted,
    )
    return reading


def _write_result(reading: Reading, computed: Computed, at: dt.datetime) -> Result:
    result = Result.objects.create(
        reading=reading, version=computed.version, output=computed.output, computed_at=at
    )
    # Up to 120 figures and as many moves, written together: as few questions as for a wheel.
    verdicts = [verdict_of(figure) for figure in computed.figures]
    for verdict in verdicts:
        verdict.result = result
    Verdict.objects.bulk_create(verdicts)
    held = reading.case.instrument.left_handed
    advice = enumerate((with_sense(line, left_handed=held) for line in computed.advice), 1)
    Prescription.objects.bulk_create(prescription_of(one, n, result) for n, one in advice)
    return result


def prescription_of(line: Advice, place: int, result: Result | None = None) -> Prescription:
    """One line of a prescription as a row, not yet written down."""
    return Prescription(
        result=result,
        position=place,
        code=line.code,
        target=line.target,
        amount=line.amount,
        u=line.u,
        unit=line.unit,
        details=dict(line.details),
        irreversible=line.irreversible,
    )


def verdict_of(figure: FigureValue) -> Verdict:
    """The verdict on a figure, with its limit copied, not yet written down."""
    limit = figure.limit
    return Verdict(
        figure=figure.key,
        value=figure.value,
        u=figure.u,
        unit=figure.unit,
        lower=limit.lower if limit else None,
        upper=limit.upper if limit else None,
        source=limit.source if limit else "",
        word=judge(figure.value, figure.u, limit).word,
    )


@dataclass(frozen=True)
class Change:
    """A figure that another computation sees otherwise; None where it is not there."""

    figure: str
    was: float | None
    now: float | None


def differences(reading: Reading) -> list[Change]:
    """What the present gauge code says otherwise than the newest kept result.

    Raises GaugeInputError when the present code refuses what an earlier one took.
    """
    kept = reading.latest
    if kept is None:
        return []
    was = {v.figure: v.value for v in kept.verdicts.all()}
    now = {f.key: f.value for f in compute(sheet_of(reading.gauge), reading.raw).figures}
    keys = [*was, *(key for key in now if key not in was)]
    pairs = [Change(key, was.get(key), now.get(key)) for key in keys]
    return [pair for pair in pairs if differ(pair.was, pair.now)]


def differ(was: float | None, now: float | None) -> bool:
    """Whether two computations of a figure, in the same unit, give another answer."""
    if was is None or now is None:
        return was is not now
    # Sums in another order differ in their last digits; that is no other answer.
    return abs(was - now) > 1e-9 * max(1.0, abs(was))


@deed()
def recompute(reading: Reading, *, by: User, at: dt.datetime) -> Result:
    """Write what the present code makes of the raw values beside the earlier results."""
    locked_case(reading.case_id)
    result = _write_result(reading, compute(sheet_of(reading.gauge), reading.raw), at)
    record(
        by,
        "reading.recomputed",
        reading.case,
        at=at,
        reading=reading.number,
        version=result.version,
    )
    return result


@deed()
def set_withdrawn(reading: Reading, withdrawn: bool, *, by: User, at: dt.datetime) -> None:
    """Take a reading out of the case, or put it back; the raw values stay kept either way."""
    locked_case(reading.case_id)
    reading.withdrawn_at = at if withdrawn else None
    reading.save(update_fields=["withdrawn_at"])
    verb = "reading.withdrawn" if withdrawn else "reading.put_back"
    record(by, verb, reading.case, at=at, reading=reading.number)


@deed()
def set_house_limit(limit: HouseLimit, *, by: User, at: dt.datetime) -> HouseLimit:
    """From now on readings are held against this limit; earlier verdicts keep theirs."""
    limit.set_at, limit.set_by = at, by
    limit.save()
    record(
        by,
        "limit.set",
        f"limit:{limit.gauge}.{limit.figure}",
        at=at,
        lower=limit.lower,
        upper=limit.upper,
    )
    return limit


@deed()
def keep_tool(tool: Tool, *, by: User, at: dt.datetime) -> Tool:
    """Keep a tool; papers name it with its resolution and the day it was last checked."""
    tool.save()
    record(by, "tool.kept", tool, at=at, name=tool.name)
    return tool
