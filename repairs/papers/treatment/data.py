"""What the work changed, as the numbers that the treatment report carries."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from repairs.gauges.base.verdict import Limit, judge
from repairs.papers.carried.document import ChangeData, PromiseData, Quantity
from repairs.papers.treatment.readings import Two, limits_of, twos_of
from repairs.readings.models import Reading
from repairs.readings.show import ChangeRow, FigureRow, changes, figure_rows
from repairs.treatment.models import Intervention
from repairs.treatment.outcome_models import Achieved


def changes_data(work: Intervention, readings: Sequence[Reading]) -> Iterator[ChangeData]:
    """Every figure that the readings of the work show, and by how much it changed."""
    limits = limits_of(work)
    for two in twos_of(work, readings):
        if two.last.not_permitted:
            continue
        changed = {row.key: row for row in _changed(two)}
        verdicts = {} if two.last.latest is None else _limits(two.last)
        for row in figure_rows(two.last):
            limit = limits.get((two.last.gauge, row.key.partition(":")[0]), verdicts.get(row.key))
            yield _change(work, two, row, changed.get(row.key), limit)


def _changed(two: Two) -> list[ChangeRow]:
    before = two.before
    if before is None or before is two.last or before.not_permitted:
        return []
    return changes(before, two.last)


def _limits(row: Reading) -> Mapping[str, Limit]:
    verdicts = row.latest.verdicts.all() if row.latest else ()
    return {one.figure: Limit(one.lower, one.upper, one.unit, one.source) for one in verdicts}


def _change(
    work: Intervention, two: Two, row: FigureRow, changed: ChangeRow | None, limit: Limit | None
) -> ChangeData:
    before = two.before if changed or two.before is two.last else None
    return ChangeData(
        work=work.number,
        gauge=two.last.gauge,
        figure=row.key,
        before=before.number if before else None,
        after=None if two.before is two.last else two.last.number,
        change=changed.raw if changed else None,
        unit=row.unit,
        sure=changed.is_sure if changed else None,
        lower=limit.lower if limit else None,
        upper=limit.upper if limit else None,
        source=limit.source if limit else "",
        verdict=judge(row.raw, row.raw_u, limit).word,
    )


def promises_data(work: Intervention, readings: Sequence[Reading]) -> Iterator[PromiseData]:
    """What was promised and what came, of every reading that still stands."""
    by_result = {one.pk: row.number for row in readings for one in row.results.all()}
    for row in work.achieved.all():
        before = by_result.get(row.prescription.result_id)
        after = by_result.get(row.after_id)
        if before is not None and after is not None:
            yield _promise(work, row, before, after)


def _promise(work: Intervention, row: Achieved, before: int, after: int) -> PromiseData:
    return PromiseData(
        work=work.number,
        figure=row.figure,
        before=before,
        after=after,
        advice=row.prescription.code,
        target=row.prescription.target,
        done=None if row.done is None else Quantity(value=row.done, unit=row.done_unit),
        expected=row.expected,
        expected_u=row.expected_u,
        got=row.got,
        got_u=row.got_u,
        unit=row.unit,
    )
