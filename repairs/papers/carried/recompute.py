"""Every figure that a report carries, computed anew from what was typed; without a database."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.verdict import Limit, judge
from repairs.papers.carried.document import FigureData, RawData, ReadingData, ReportData
from repairs.readings.actions import Computed, differ, measured
from repairs.readings.gauge_refusals import refusal_words
from repairs.readings.parse import parse
from repairs.readings.sheets.base import FigureValue, Sheet
from repairs.readings.sheets.catalogue import SHEETS
from repairs.readings.words import version_words

Stated = Mapping[str, float | str | bool | None]


@dataclass(frozen=True)
class Checked:
    """One figure as stated and as computed here; ``why`` is said where the two cannot agree.

    ``kind`` is ``figure`` of a reading, ``change`` or ``promise`` of a piece of work; ``of`` the
    number of that reading or work.
    """

    kind: str
    of: int
    gauge: str
    figure: str
    label: str
    unit: str
    stated: Stated
    recomputed: Stated | None
    why: str = ""

    @property
    def result(self) -> str:
        """``agree``, ``differ``, or ``not_recomputed``, which is no pass."""
        if self.recomputed is None:
            return "not_recomputed"
        same = all(_same(value, self.recomputed.get(key)) for key, value in self.stated.items())
        return "agree" if same else "differ"


def _same(stated: float | str | bool | None, now: float | str | bool | None) -> bool:
    if isinstance(stated, float) and isinstance(now, float):
        return not differ(stated, now)
    return stated == now


@dataclass(frozen=True)
class Outcome:
    """What this program makes of one reading, or ``why`` it can make nothing of it."""

    reading: ReadingData
    computed: Computed | None
    why: str = ""

    @property
    def is_same_version(self) -> bool:
        """Whether the same version of the gauge computed it then and now."""
        return self.computed is not None and self.computed.version == self.reading.version

    @property
    def figures(self) -> Mapping[str, FigureValue]:
        """The figures computed here, by key."""
        return {one.key: one for one in self.computed.figures} if self.computed else {}


def outcomes_of(data: ReportData, files: Mapping[str, bytes]) -> Mapping[int, Outcome]:
    """Each reading that claims anything, computed anew, by its number."""
    return {
        one.number: _outcome(one, files)
        for one in data.readings
        if not one.not_permitted or one.figures
    }


def _outcome(reading: ReadingData, files: Mapping[str, bytes]) -> Outcome:
    sheet = SHEETS.get(reading.gauge)
    if sheet is None:
        return Outcome(reading, None, _("This program knows no gauge of that name."))
    if len(reading.raw.rows) > sheet.most_rows:
        return Outcome(reading, None, _("It has more rows than the sheet takes."))
    if lost := lost_file(reading.raw, files):
        return Outcome(reading, None, lost)
    try:
        return Outcome(reading, computed_of(sheet, typed_of(reading.raw, files)))
    except GaugeInputError as refusal:
        return Outcome(reading, None, refusal_words(sheet, refusal))
    except ValueError as refusal:
        return Outcome(reading, None, str(refusal))


def computed_of(sheet: Sheet, raw: Mapping[str, Any]) -> Computed:
    """What the gauge makes of typed words.

    Raises GaugeInputError for what the gauge refuses, ValueError with the sentence of the sheet
    for what cannot be read.
    """
    parsed = parse(sheet, raw)
    if parsed.problems:
        raise ValueError(parsed.problems[0].words)
    return measured(sheet, parsed)


def typed_of(raw: RawData, files: Mapping[str, bytes]) -> dict[str, Any]:
    """What was typed, with the words of the enclosed files in their cells."""
    fields = dict(raw.fields)
    for file in raw.files:
        fields[file.cell] = files[file.name].decode("utf-8", "replace")
    return {"fields": fields, "rows": [dict(row) for row in raw.rows]}


def lost_file(raw: RawData, files: Mapping[str, bytes]) -> str:
    """The sentence about an enclosed file that is gone or changed; empty when all are there."""
    for file in raw.files:
        if file.name not in files:
            return _("“%(name)s” is not enclosed any more.") % {"name": file.name}
        if hashlib.sha256(files[file.name]).hexdigest() != file.sha256:
            words = _("The enclosed “%(name)s” is not the file that was handed in.")
            return words % {"name": file.name}
    return ""


def figures_checked(outcome: Outcome) -> Iterator[Checked]:
    """Every figure of a reading; one that is not stated any more differs as well."""
    reading, now = outcome.reading, outcome.figures
    for stated in reading.figures:
        yield _figure(outcome, stated, now.get(stated.key))
    if outcome.is_same_version:
        known = {one.key for one in reading.figures}
        for one in now.values():
            if one.key not in known:
                yield _unstated(reading, one)


def _figure(outcome: Outcome, stated: FigureData, now: FigureValue | None) -> Checked:
    reading = outcome.reading
    word = (
        verdict_word(now, Limit(stated.lower, stated.upper, stated.unit, stated.source))
        if now
        else ""
    )
    gone = outcome.computed is not None and now is None
    return Checked(
        kind="figure",
        of=reading.number,
        gauge=reading.gauge,
        figure=stated.key,
        label=stated.label,
        unit=stated.unit,
        stated={"value": stated.value, "u": stated.u, "verdict": stated.verdict},
        recomputed={"value": now.value, "u": now.u, "verdict": word} if now else None,
        why=outcome.why or (_("The gauge gives no such figure.") if gone else _version(outcome)),
    )


def _unstated(reading: ReadingData, now: FigureValue) -> Checked:
    return Checked(
        kind="figure",
        of=reading.number,
        gauge=reading.gauge,
        figure=now.key,
        label=str(now.label),
        unit=now.unit,
        stated={"value": None, "u": None, "verdict": None},
        recomputed={"value": now.value, "u": now.u, "verdict": None},
        why=_("The gauge gives this figure, and it is not stated."),
    )


def _version(outcome: Outcome) -> str:
    if outcome.computed is None or outcome.is_same_version:
        return ""
    told = {
        "then": version_words(outcome.reading.version),
        "now": version_words(outcome.computed.version),
    }
    return _("Stated by %(then)s, computed here by %(now)s.") % told


def verdict_word(now: FigureValue, limit: Limit) -> str:
    """The verdict on what is computed here, against the limit as stated."""
    return judge(now.value, now.u, limit).word
