"""A reading as people see it, on the screen and in a paper: figures, verdicts, chart, advice."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.charts.mirror import mirrored
from repairs.charts.svg import Chart
from repairs.language.text import rounded
from repairs.readings.actions import Computed, verdict_of
from repairs.readings.key_words import with_sense
from repairs.readings.models import Prescription, Reading, Result, Verdict
from repairs.readings.parse import parse
from repairs.readings.sheets.base import Advice, FigureValue, Sheet, Text
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.sheets.common import SIGNS, told_apart
from repairs.readings.sources import source_words
from repairs.readings.words import advice_words

MOST_IN_SIGHT = 8  # figures of a reading on a phone
GRAVE = (Verdict.Word.OUTSIDE, Verdict.Word.DOUBTFUL)


@dataclass(frozen=True)
class FigureRow:
    """One figure in words: label, value with uncertainty, limit, verdict's sign and word."""

    key: str
    label: str
    value: str
    u: str
    limit: str
    source: str
    word: str
    word_label: str
    sign: str
    raw: float
    raw_u: float | None
    unit: str
    digits: int


@dataclass(frozen=True)
class Shown:
    """A reading, ready to be laid out."""

    title: str
    subject: str
    chart: str
    alt: str
    figures: tuple[FigureRow, ...]
    advice: tuple[str, ...]
    warnings: tuple[str, ...]
    not_permitted: str = ""

    @property
    def in_sight(self) -> tuple[FigureRow, ...]:
        """What lies outside or in doubt, filled up in the order of the page: a keyboard has 120."""
        room = MOST_IN_SIGHT - sum(row.word in GRAVE for row in self.figures)
        shown = []
        for row in self.figures:
            if row.word in GRAVE or room > 0:
                shown.append(row)
            room -= row.word not in GRAVE
        return tuple(shown)

    @property
    def folded(self) -> tuple[FigureRow, ...]:
        """The other figures, which one tap unfolds."""
        seen = {row.key for row in self.in_sight}
        return tuple(row for row in self.figures if row.key not in seen)


def digits(value: float | None, places: int) -> str:
    """The value rounded, as the language writes it; empty where there is none."""
    return "" if value is None else rounded(value, places)


# Units that are kept as a code, and read as words.
UNITS: Mapping[str, Text] = {"1/min": gettext_lazy("turns/min")}


def unit_words(unit: str) -> str:
    """A kept unit as people write it."""
    return str(UNITS.get(unit, unit))


def limit_words(lower: float | None, upper: float | None, unit: str) -> str:
    """“at most 0.1 mm”, “from 1 to 2 mm”; empty when there is none."""
    ends = {"lower": _short(lower), "upper": _short(upper), "unit": unit_words(unit)}
    if lower is not None and upper is not None:
        return _("from %(lower)s to %(upper)s %(unit)s") % ends
    if upper is not None:
        return _("at most %(upper)s %(unit)s") % ends
    return _("at least %(lower)s %(unit)s") % ends if lower is not None else ""


def _short(value: float | None) -> str:
    if value is None:
        return ""
    places = next((p for p in range(5) if abs(value - round(value, p)) < 1e-9), 4)
    return rounded(value, places)


def saved(reading: Reading, before: Reading | None = None) -> Shown:
    """What was written down when the reading was taken (its newest result)."""
    sheet = sheet_of(reading.gauge)
    result = reading.latest
    title = str(sheet.label)
    if result is None:
        return Shown(title, reading.subject, "", "", (), (), (), reading.not_permitted)
    given = _given(sheet, reading.raw)
    drawn = sheet.chart(given, result.output, *_of_before(sheet, before))
    chart = _as_held(sheet, drawn, left_handed=reading.case.instrument.left_handed)
    return Shown(
        title,
        reading.subject,
        chart.svg if chart else "",
        chart.alt if chart else "",
        _rows(sheet, given, result),
        tuple(prescription_words(p) for p in result.prescriptions.all()),
        tuple(str(w) for w in sheet.warnings(result.output)),
    )


def figure_rows(reading: Reading) -> tuple[FigureRow, ...]:
    """The figures of the newest result, without what else belongs to a reading."""
    result = reading.latest
    if result is None:
        return ()
    sheet = sheet_of(reading.gauge)
    return _rows(sheet, _given(sheet, reading.raw), result)


def _rows(sheet: Sheet, given: Mapping[str, Any], result: Result) -> tuple[FigureRow, ...]:
    labels = {f.key: f for f in told_apart(sheet.figures(given, result.output))}
    return tuple(_verdict_row(sheet, v, labels.get(v.figure)) for v in result.verdicts.all())


def _given(sheet: Sheet, raw: Mapping[str, Any]) -> dict[str, Any]:
    parsed = parse(sheet, raw)
    return sheet.to_input(parsed.values, parsed.rows)


def _of_before(
    sheet: Sheet, before: Reading | None
) -> tuple[Mapping[str, Any] | None, Mapping[str, Any] | None]:
    if before is None or before.latest is None:
        return None, None
    return _given(sheet, before.raw), before.latest.output


def prescription_words(row: Prescription) -> str:
    """One kept line of a prescription in words."""
    return advice_words(
        Advice(row.code, row.target, row.amount, row.u, row.unit, row.irreversible, row.details)
    )


def figure_label(sheet: Sheet, key: str) -> str:
    """What a figure is called that the sheet has a limit for, or had before; never its key."""
    known = sheet.limits.get(key.partition(":")[0])
    return str(known[0]) if known else _("a figure of an earlier version")


def _verdict_row(sheet: Sheet, verdict: Verdict, spec: FigureValue | None) -> FigureRow:
    places = spec.digits if spec else 3
    label = str(spec.label) if spec else figure_label(sheet, verdict.figure)
    return FigureRow(
        verdict.figure,
        label,
        f"{digits(verdict.value, places)} {unit_words(verdict.unit)}".strip(),
        digits(verdict.u, places),
        limit_words(verdict.lower, verdict.upper, verdict.unit),
        source_words(verdict.source),
        verdict.word,
        str(verdict.get_word_display()),
        SIGNS[verdict.word],
        verdict.value,
        verdict.u,
        verdict.unit,
        places,
    )


def _as_held(sheet: Sheet, chart: Chart | None, *, left_handed: bool) -> Chart | None:
    """The chart as the instrument lies before whoever holds it."""
    return mirrored(chart) if chart and left_handed and sheet.is_handed else chart


def tried(sheet: Sheet, computed: Computed, *, left_handed: bool = False) -> Shown:
    """What the gauge makes of values that are still being typed."""
    drawn = sheet.chart(computed.given, computed.output, None, None)
    chart = _as_held(sheet, drawn, left_handed=left_handed)
    return Shown(
        str(sheet.label),
        "",
        chart.svg if chart else "",
        chart.alt if chart else "",
        tuple(_verdict_row(sheet, verdict_of(figure), figure) for figure in computed.figures),
        tuple(advice_words(with_sense(line, left_handed=left_handed)) for line in computed.advice),
        tuple(str(w) for w in sheet.warnings(computed.output)),
    )


@dataclass(frozen=True)
class ChangeRow:
    """A figure before and after, the change, and whether it is more than the uncertainty.

    ``raw`` is the change with all its digits, in the unit of the figure.
    """

    key: str
    label: str
    before: str
    after: str
    change: str
    raw: float
    is_sure: bool | None


def changes(before: Reading, after: Reading) -> list[ChangeRow]:
    """Figures that both readings have. A change counts when it exceeds twice its uncertainty."""
    old = {row.key: row for row in figure_rows(before)}
    rows = []
    for row in figure_rows(after):
        was = old.get(row.key)
        if was is None:
            continue
        change = change_of(was.raw, row.raw, row.unit)
        sure = is_sure(change, was.raw_u, row.raw_u)
        seen = _signed(change_of(_as_seen(was), _as_seen(row), row.unit), row.digits)
        rows.append(ChangeRow(row.key, row.label, was.value, row.value, seen, change, sure))
    return rows


def change_of(was: float, now: float, unit: str) -> float:
    """The change, both and it in ``unit``; of an angle the shorter way round."""
    change = now - was
    return (change + 180) % 360 - 180 if unit == "°" else change


def _as_seen(row: FigureRow) -> float:
    """The value that a reader sees, so that the change can be checked with a pencil."""
    return round(row.raw, row.digits)


def _signed(change: float, places: int) -> str:
    """A change with its sign, to the digits of its figure."""
    amount = round(change, places)
    sign = "+" if amount > 0 else "−" if amount < 0 else ""
    return f"{sign}{digits(abs(amount), places)}"


def is_sure(change: float, u_before: float | None, u_after: float | None) -> bool | None:
    """Whether a change is more than twice its uncertainty; None where that is not known."""
    if u_before is None or u_after is None:
        return None
    return bool(abs(change) > 2 * (u_before**2 + u_after**2) ** 0.5)


def twin_before(reading: Reading, others: Sequence[Reading]) -> Reading | None:
    """The reading to lay under this one: same gauge and subject, the last one taken earlier."""
    earlier = [
        other
        for other in others
        if other.gauge == reading.gauge
        and other.subject == reading.subject
        and _taken(other) < _taken(reading)
        and other.latest is not None
    ]
    return max(earlier, key=_taken, default=None)


def _taken(reading: Reading) -> tuple[dt.datetime, int]:
    return reading.taken_at, reading.number
