"""A luthier's word that work is done and proved; what was promised is laid beside what came."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping

from django.utils.translation import gettext as _

from repairs.audit.actions import deed, record
from repairs.cases.actions import move
from repairs.cases.because import LAST_SIGNED
from repairs.cases.models import Case
from repairs.language.text import semicolons
from repairs.people.models import User
from repairs.readings.models import Reading
from repairs.treatment.actions import check_open
from repairs.treatment.held import Held
from repairs.treatment.models import Intervention, SignOff
from repairs.treatment.outcome_models import Achieved
from repairs.treatment.predicted import Outcome, outcomes
from repairs.treatment.proof import proof_of
from repairs.treatment.proof_readings import is_after
from repairs.treatment.refusals import NotProvedError


@deed()
def sign_off(
    work: Intervention, *, reasons: Mapping[str, str], words: str, by: User, at: dt.datetime
) -> SignOff:
    """Sign the work off, with a stated reason for what is not as it must be.

    ``reasons`` has them by the key of what they excuse. A required reading is not excused by a
    reason: it is taken, or recorded as not permitted. Writes predicted against achieved, and
    moves the case to “proved” when nothing agreed is left. Raises NotProvedError naming what is
    missing, WorkClosedError when it is signed already.
    """
    check_open(work)
    work = _present(work)
    held = proof_of(work)
    missing = _missing(work, held, reasons)
    if missing:
        raise NotProvedError(number=work.number, missing=semicolons(missing))
    for outcome in found_outcomes(work):
        _keep_outcome(work, outcome, at)
    # Kept as rows of text: what the rules ask may change, what was seen at the signature may not.
    rows = [one.plain() | {"reason": reasons.get(one.key, "")} for one in held]
    row = SignOff.objects.create(intervention=work, by=by, at=at, words=words, rows=rows)
    if work.ended_at is None:
        work.ended_at = at
        work.save(update_fields=["ended_at"])
    case = work.case
    if case.step == Case.Step.ON_BENCH and nothing_left(case):
        move(case, Case.Step.PROVED, because=LAST_SIGNED, by=by, at=at)
    record(by, "work.signed_off", case, at=at, work=work.number)
    return row


def _present(work: Intervention) -> Intervention:
    rows = Intervention.objects.select_related("case__instrument", "version", "agreed")
    return rows.get(pk=work.pk)


def _missing(work: Intervention, held: list[Held], reasons: Mapping[str, str]) -> list[str]:
    # A clock that runs on after the signature would add minutes to what was signed.
    running = work.spells.filter(ended_at=None).select_related("person")
    lines = [_("the clock of %(who)s still runs") % {"who": spell.person} for spell in running]
    for one in held:
        if one.blocks:
            lines.append(_("%(what)s is missing") % {"what": one.label})
        elif one.asks and not reasons.get(one.key, "").strip():
            lines.append(
                _("%(what)s is %(state)s and no reason is stated")
                % {"what": one.label, "state": one.words}
            )
    return lines


def nothing_left(case: Case) -> bool:
    """Whether every agreed piece of work that still stands is signed off."""
    live = case.agreed_works.live()
    signed = live.filter(interventions__sign_off__isnull=False)
    begun = case.interventions.filter(sign_off=None)
    return not begun.exists() and not live.exclude(pk__in=signed.values("pk")).exists()


def reading_pairs(work: Intervention) -> list[tuple[Reading, Reading]]:
    """The last reading of each thing after this work, with the one before that it answers."""
    gauges = {one.gauge for one in work.version.procedure.readings}
    rows = list(
        work.case.readings.present()
        .filter(gauge__in=gauges, not_permitted="")
        .prefetch_related("results__verdicts", "results__prescriptions")
        .order_by("taken_at", "number")
    )
    pairs = []
    for after in _last_of_each(row for row in rows if is_after(work, row)):
        earlier = [row for row in rows if _is_before(work, row, after)]
        if earlier:
            pairs.append((earlier[-1], after))
    return pairs


def found_outcomes(work: Intervention) -> list[Outcome]:
    """What the readings of this work's gauges promised before it and show after it."""
    done = {row.prescription_id: row.amount for row in work.moves_done.all()}
    return [
        outcome
        for before, after in reading_pairs(work)
        for outcome in outcomes(before, after, done)
    ]


def _is_before(work: Intervention, row: Reading, after: Reading) -> bool:
    """An earlier reading of the same thing; what was read after earlier work is before this."""
    same = (row.gauge, row.subject) == (after.gauge, after.subject)
    earlier = (row.taken_at, row.number) < (after.taken_at, after.number)
    return same and earlier and not is_after(work, row)


def _last_of_each(rows: Iterable[Reading]) -> list[Reading]:
    last: dict[tuple[str, str], Reading] = {}
    for row in rows:
        last[row.gauge, row.subject] = row
    return list(last.values())


def _keep_outcome(work: Intervention, outcome: Outcome, at: dt.datetime) -> None:
    prescription = outcome.promise.prescription
    Achieved.objects.get_or_create(
        intervention=work,
        prescription=prescription,
        figure=outcome.promise.figure,
        defaults={
            "after": outcome.after,
            "label": outcome.label[:160],
            "done": outcome.done,
            "done_unit": prescription.unit,
            "expected": outcome.expected,
            "expected_u": outcome.expected_u,
            "got": outcome.got,
            "got_u": outcome.got_u,
            "unit": outcome.promise.unit,
            "at": at,
        },
    )
