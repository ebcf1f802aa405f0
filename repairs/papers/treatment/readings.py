"""What the readings of a piece of work show: before beside after, promised beside achieved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.gauges.base.verdict import Limit, judge
from repairs.language.text import rounded
from repairs.papers.blocks.readings import heading_words
from repairs.papers.blocks.treatment_document import FigureChange, PromiseLine, ReadingPair
from repairs.readings.kept_words import FOOT_CODES, foot_lines
from repairs.readings.models import Reading, Verdict
from repairs.readings.promises import is_to_limit, judged
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.sheets.common import SIGNS
from repairs.readings.show import (
    ChangeRow,
    FigureRow,
    changes,
    figure_rows,
    limit_words,
    prescription_words,
    saved,
)
from repairs.readings.sources import source_words
from repairs.treatment.models import Intervention
from repairs.treatment.outcome_models import Achieved

USUAL_DIGITS = 2
Limits = Mapping[tuple[str, str], Limit]


def reading_pairs(work: Intervention, readings: Sequence[Reading]) -> tuple[ReadingPair, ...]:
    """Every reading that the sign-off rests on, the one before the work beside the one after."""
    limits = limits_of(work)
    return tuple(_pair(two, limits) for two in twos_of(work, readings))


@dataclass(frozen=True)
class Two:
    """The readings of one thing before the work and after it; ``last`` is the one that counts."""

    before: Reading | None
    after: Reading | None
    last: Reading


def twos_of(work: Intervention, readings: Sequence[Reading]) -> Iterator[Two]:
    """Each thing that the sign-off rests on readings of, with the two that show the work."""
    numbers = {number for row in work.sign_off.rows for number in row["readings"]}
    by_thing: dict[tuple[str, str], list[Reading]] = {}
    for row in readings:
        if row.number in numbers:
            by_thing.setdefault((row.gauge, row.subject), []).append(row)
    for rows in by_thing.values():
        before = next((row for row in reversed(rows) if row.phase == Reading.Phase.BEFORE), None)
        after = next((row for row in reversed(rows) if row.phase == Reading.Phase.AFTER), None)
        yield Two(before, after, after or before or rows[-1])


def limits_of(work: Intervention) -> Limits:
    """The limits that the procedure sets where they differ from the gauge's."""
    return {
        (one.gauge, limit.figure): Limit(limit.lower, limit.upper, limit.unit, limit.source)
        for one in work.version.procedure.readings
        for limit in one.limits
    }


def _pair(two: Two, limits: Limits) -> ReadingPair:
    before, after, last = two.before, two.after, two.last
    is_measured = not last.not_permitted
    shown = saved(last, before if last is after else None) if is_measured else None
    figures = list(_figures(before, last, limits)) if is_measured else []
    said = [one for key, one in figures if _is_said(key, one)]
    return ReadingPair(
        title=str(sheet_of(last.gauge).label),
        subject=last.subject,
        gauge=last.gauge,
        before=heading_words(before) if before else "",
        after=heading_words(after) if after else "",
        chart=shown.chart if shown else "",
        alt=shown.alt if shown else "",
        figures=tuple(said),
        inside_unsaid=len(figures) - len(said),
        not_permitted=last.not_permitted,
        before_not_permitted=before.not_permitted if before and before is not last else "",
        before_typed=_typed(before),
        after_typed=_typed(after),
    )


def _typed(row: Reading | None) -> int:
    return 0 if row is None or row.not_permitted else row.number


def _is_said(key: str, row: FigureChange) -> bool:
    """A figure for each of dozens of keys is said only where something is to be said of it."""
    is_one_of_many = bool(key.partition(":")[2])
    return not (is_one_of_many and row.word == Verdict.Word.INSIDE and row.sure != sure_words(True))


def _figures(
    before: Reading | None, last: Reading, limits: Limits
) -> Iterator[tuple[str, FigureChange]]:
    """Every figure of the last reading with its verdict, and how it changed."""
    pair = before is not None and before is not last and not before.not_permitted
    changed = changes(before, last) if pair and before is not None else []
    by_label = {row.label: row for row in changed}
    for row in figure_rows(last):
        limit = limits.get((last.gauge, row.key.partition(":")[0]))
        yield row.key, _figure(row, by_label.get(row.label), limit, before is last)


def _figure(
    row: FigureRow, changed: ChangeRow | None, limit: Limit | None, is_before: bool
) -> FigureChange:
    word = judge(row.raw, row.raw_u, limit).word if limit else row.word
    value = f"{row.value} ± {row.u}" if row.u else row.value
    return FigureChange(
        label=row.label,
        before=value if is_before else changed.before if changed else "",
        after="" if is_before else value,
        change=changed.change if changed else "",
        sure=sure_words(changed.is_sure) if changed else "",
        limit=limit_words(limit.lower, limit.upper, limit.unit) if limit else row.limit,
        source=source_words(limit.source) if limit else row.source,
        word=word,
        word_label=str(Verdict.Word(word).label),
        sign=SIGNS[word],
    )


def sure_words(is_sure: bool | None) -> str:
    """Whether a change is more than twice its uncertainty."""
    if is_sure is None:
        return _("uncertainty not known")
    return _("more than its uncertainty") if is_sure else _("within its uncertainty")


def promise_lines(work: Intervention, readings: Sequence[Reading]) -> tuple[PromiseLine, ...]:
    """Every prescription whose outcome was written down at the sign-off, and a dog's foot."""
    by_id = {
        row.pk: {f.key: f for f in figure_rows(row)} for row in readings if _is_used(work, row)
    }
    measured = (
        _promise(row, by_id.get(row.after.reading_id, {}).get(row.figure))
        for row in work.achieved.all()
    )
    return (*measured, *_feet(work, readings))


def _feet(work: Intervention, readings: Sequence[Reading]) -> Iterator[PromiseLine]:
    """A foot that was to be scraped stands full now, or not: by eye, so no figure tells it."""
    for two in twos_of(work, readings):
        if two.before is None or two.after is None or two.before.latest is None:
            continue
        told = [row for row in two.before.latest.prescriptions.all() if row.code in FOOT_CODES]
        for line in foot_lines(two.before, two.after):
            yield PromiseLine(
                label=line.label,
                prescription=prescription_words(told[0]),
                done="",
                expected=line.promised,
                got=line.reached,
                word=line.word,
                word_label=line.word_label,
                sign=line.sign,
            )


def _is_used(work: Intervention, row: Reading) -> bool:
    return any(one.after.reading_id == row.pk for one in work.achieved.all())


def _promise(row: Achieved, figure: FigureRow | None) -> PromiseLine:
    places = figure.digits if figure else USUAL_DIGITS
    word, short = _kept(row)
    return PromiseLine(
        label=figure.label if figure else row.label,
        prescription=prescription_words(row.prescription),
        done=_with_u(row.done, None, row.done_unit, 2) if row.done is not None else "",
        expected=_with_u(row.expected, row.expected_u, row.unit, places),
        got=_with_u(row.got, row.got_u, row.unit, places),
        word=word,
        word_label=_said(word, short, row.unit, places),
        sign=SIGNS[word],
    )


def _kept(row: Achieved) -> tuple[str, float]:
    """Whether what came agrees with what was promised, and by how much it falls short."""
    return judged(
        row.expected, row.expected_u, row.got, row.got_u, to_limit=is_to_limit(row.prescription)
    )


def _said(word: str, short: float, unit: str, places: int) -> str:
    """“As foreseen”, or by how much it was not."""
    if word != "outside":
        return str(PROMISE_WORDS[word])
    words = _("short by %(far)s") if short > 0 else _("too far by %(far)s")
    return words % {"far": _with_u(abs(short), None, unit, places)}


PROMISE_WORDS = {
    "inside": gettext_lazy("as foreseen"),
    "not_judged": gettext_lazy("not judged"),
}


def _with_u(value: float, u: float | None, unit: str, places: int) -> str:
    words = rounded(value, places)
    if u is not None:
        words = f"{words} ± {rounded(u, places)}"
    return f"{words}\u00a0{unit}" if unit else words
