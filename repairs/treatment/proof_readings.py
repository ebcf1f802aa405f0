"""Do the readings prove the work? Which answer what was wanted, and what their figures say."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from repairs.gauges.base.verdict import Limit, judge
from repairs.procedures.procedure import WantedReading
from repairs.readings.models import Reading, Verdict
from repairs.readings.sheets.catalogue import sheet_of, sheets_for
from repairs.readings.show import figure_rows
from repairs.treatment.held import Held, State
from repairs.treatment.models import Intervention

GRAVEST_FIRST: tuple[State, ...] = ("missing", "outside", "doubtful", "not_judged", "fine")


WITHIN_THE_WORK = "as_found"  # the step under which a reading before is taken within the work


@dataclass(frozen=True)
class Evidence:
    """What is on record of a case: its readings in their order, and phase and day of its photos."""

    readings: Sequence[Reading]
    photos: Sequence[tuple[str, dt.datetime]]


def is_since(work: Intervention, moment: dt.datetime) -> bool:
    """Whether it was after the work was begun; moments of readings are typed to the minute."""
    return moment >= work.opened_at.replace(second=0, microsecond=0)


def is_after(work: Intervention, row: Reading) -> bool:
    """A reading after this work was taken and kept since it was begun, and is marked as such."""
    is_marked = row.phase == Reading.Phase.AFTER
    return is_marked and is_since(work, row.taken_at) and row.saved_at >= work.opened_at


def readings_held(
    work: Intervention, wanted: Iterable[WantedReading], evidence: Evidence
) -> Iterator[Held]:
    """How each wanted reading stands; a gauge that the instrument does not have is not asked for.

    A violin has no wheel to be read: to ask would teach people to write excuses.
    """
    fitting = {sheet.gauge for sheet in sheets_for(work.case)}
    for one in wanted:
        if one.gauge in fitting:
            yield _held(work, one, [row for row in evidence.readings if _answers(work, one, row)])


def _answers(work: Intervention, wanted: WantedReading, row: Reading) -> bool:
    if row.gauge != wanted.gauge:
        return False
    if wanted.phase == Reading.Phase.BEFORE:
        return row.phase == Reading.Phase.BEFORE
    return is_after(work, row)


def _held(work: Intervention, wanted: WantedReading, rows: list[Reading]) -> Held:
    """The last reading of each subject counts, and the gravest of them speaks for all.

    One that was not permitted counts where nothing was read: it does not hide what was.
    """
    done = {row.subject: row for row in rows if not row.not_permitted}
    last = {row.subject: row for row in rows if row.not_permitted} | done
    if not last:
        return Held(key=wanted.key, state="missing", blocks=True, gauge=wanted.gauge)
    numbers = tuple(sorted(row.number for row in last.values()))
    if not done:
        why = tuple(row.not_permitted for row in last.values())
        return Held(key=wanted.key, state="not_permitted", details=why, readings=numbers)
    if wanted.phase == Reading.Phase.BEFORE:
        return _held_before(work, wanted, rows, numbers)
    looks = [_look(wanted, row) for row in done.values()]
    state = next(s for s in GRAVEST_FIRST if s in {look.state for look in looks})
    said = [look.figures for look in looks if look.state == state]
    return Held(
        key=wanted.key,
        state=state,
        details=tuple(dict.fromkeys(one for figures in said for one in figures)),
        readings=numbers,
        asks=state == "outside" or any(look.lacks_all for look in looks),
    )


def _held_before(
    work: Intervention, wanted: WantedReading, rows: list[Reading], numbers: tuple[int, ...]
) -> Held:
    """It is there, and that is all: how bad the state was is what the work is to mend."""
    late = _taken_late(work, rows)
    return Held(
        key=wanted.key,
        state="late" if late else "fine",
        details=tuple(dict.fromkeys(row.subject for row in late if row.subject)),
        readings=numbers,
        asks=bool(late),
    )


def _taken_late(work: Intervention, rows: list[Reading]) -> list[Reading]:
    """Readings “before” of what was not read before this work was begun: they prove less.

    A procedure whose first deed is to record what is found has them taken within the work.
    """
    if any(step.key == WITHIN_THE_WORK for step in work.version.procedure.steps):
        return []
    early = {row.subject for row in rows if row.taken_at <= work.opened_at}
    return [row for row in rows if row.subject not in early]


@dataclass(frozen=True)
class _Look:
    """The gravest word over a reading's figures, which they are, and whether all are lacking."""

    state: State
    figures: tuple[str, ...] = ()
    lacks_all: bool = False


def _look(wanted: WantedReading, row: Reading) -> _Look:
    """Hold the figures that the procedure looks at against its own limits or the gauge's."""
    limits = {
        one.figure: Limit(one.lower, one.upper, one.unit, one.source) for one in wanted.limits
    }
    found: dict[str, list[str]] = {}
    seen = set()
    for figure in figure_rows(row):
        name = figure.key.partition(":")[0]
        if wanted.figures and name not in wanted.figures:
            continue
        seen.add(name)
        limit = limits.get(name)
        word = judge(figure.raw, figure.raw_u, limit).word if limit else figure.word
        said = f"{figure.label} {figure.value}"
        found.setdefault(word, []).append(f"{row.subject}, {said}" if row.subject else said)
    for word in (Verdict.Word.OUTSIDE, Verdict.Word.DOUBTFUL):
        if word in found:
            return _Look(word.value, tuple(found[word]))  # type: ignore[arg-type] # two of State
    lacking = tuple(_lacking(wanted, seen))
    if Verdict.Word.INSIDE in found:
        return _Look("fine", lacking)
    return _Look("not_judged", lacking, lacks_all=bool(wanted.figures) and not seen)


def _lacking(wanted: WantedReading, seen: set[str]) -> Iterator[str]:
    """Figures that the procedure looks at and that the reading does not have."""
    known = sheet_of(wanted.gauge).limits
    for name in wanted.figures:
        if name not in seen:
            label = known[name][0] if name in known else name
            yield _("not read: %(figure)s") % {"figure": label}
