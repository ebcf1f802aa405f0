"""Agreed work, its minutes and its proof as the screens show them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Prefetch
from django.utils import timezone

from repairs.cases.models import Case
from repairs.language.text import decimal_words
from repairs.money import NOTHING
from repairs.people.models import User
from repairs.procedures.procedure import caution_words
from repairs.readings.models import Prescription, Reading
from repairs.readings.promises import promises
from repairs.readings.show import prescription_words
from repairs.treatment.clocks import is_left_on
from repairs.treatment.forms import DescribeForm
from repairs.treatment.held import Held, held_at_sign_off
from repairs.treatment.models import AgreedWork, Intervention, WorkSpell, minutes_between
from repairs.treatment.outcome_models import MoveDone
from repairs.treatment.part_forms import (
    FOLLOWED_PLACES,
    MATERIAL,
    REMOVED,
    FollowForm,
    MaterialForm,
    RemovedPartForm,
    followed,
)
from repairs.treatment.part_models import MaterialUse, RemovedPart
from repairs.treatment.proof import evidence_of, proof_of
from repairs.treatment.proof_readings import Evidence, is_after
from repairs.treatment.spent import Spent, spent_on, tally
from repairs.treatment.steps import step_lines, steps_at_hand


@dataclass(frozen=True)
class PersonMinutes:
    """What one person worked on one piece of work; ``typed`` are those that no clock ran for."""

    person: User
    minutes: int
    typed: int


def minutes_by_person(spells: Iterable[WorkSpell]) -> list[PersonMinutes]:
    """What each person worked, the typed minutes told from the counted."""
    rows: dict[int, PersonMinutes] = {}
    for spell in spells:
        was = rows.get(spell.person_id) or PersonMinutes(spell.person, 0, 0)
        own = spell.minutes or 0
        rows[spell.person_id] = PersonMinutes(
            spell.person, was.minutes + own, was.typed + (own if spell.typed else 0)
        )
    return list(rows.values())


@dataclass(frozen=True)
class Running:
    """A clock that runs: whose, since when, and whether it was left on."""

    spell: WorkSpell
    is_left_on: bool


def running_clocks(work: Intervention, at: dt.datetime) -> list[Running]:
    """Clocks that still run, and whether they were rather left on."""
    open_ones = [spell for spell in work.spells.all() if spell.ended_at is None]
    return [Running(spell, is_left_on(spell, at)) for spell in open_ones]


def clock_words(work: Intervention, own: Running | None, at: dt.datetime) -> str:
    """The minutes of a work as a clock shows them, “1:12”, with those that one's own clock runs."""
    running = minutes_between(own.spell.started_at, at) if own else 0
    hours, minutes = divmod(work.minutes + running, 60)
    return f"{hours}:{minutes:02d}"


def work_facts(work: Intervention, *, person: Any, **asked: Any) -> dict[str, Any]:
    """Everything that the page of one piece of work shows; ``asked`` is about its steps."""
    procedure = work.version.procedure
    return {
        "case": work.case,
        "work": work,
        "procedure": procedure,
        "cautions": caution_words(procedure.cautions),
        **_time_facts(work, person),
        "steps": steps_at_hand(step_lines(work, person), **asked),
        "describe_form": DescribeForm(instance=work),
        "materials": [one for one in work.materials.all() if one.withdrawn_at is None],
        "material_form": MaterialForm(
            instance=MaterialUse(intervention=work), procedure=procedure, prefix=MATERIAL
        ),
        "removed": list(work.removed_parts.select_related("case", "part__instrument")),
        "removed_form": RemovedPartForm(
            instance=RemovedPart(intervention=work, case=work.case),
            case=work.case,
            prefix=REMOVED,
        ),
        "new_parts": list(
            work.new_parts.filter(withdrawn_at=None).select_related("withdrawal__piece")
        ),
        "follows": follow_lines(work),
        "held": held_at_sign_off(work) if work.is_signed else proof_of(work),
    }


def _time_facts(work: Intervention, person: Any) -> dict[str, Any]:
    """Clocks that run, and what was spent so far."""
    at = timezone.now()
    clocks = running_clocks(work, at)
    own_clock = next((one for one in clocks if one.spell.person_id == person.pk), None)
    return {
        "clocks": clocks,
        "own_clock": own_clock,
        "clock": clock_words(work, own_clock, at),
        "people": minutes_by_person(work.spells.all()),
        "minutes": work.minutes,
        "spent": tally(work.case),
    }


@dataclass(frozen=True)
class FollowLine:
    """A prescription whose outcome will be told, and by how much it was followed so far."""

    prescription: Prescription
    words: str
    done: float | None
    form: FollowForm

    @property
    def done_words(self) -> str:
        """What was done, with its sign and unit; empty until it is noted."""
        if self.done is None:
            return ""
        amount = Decimal(str(round(self.done, FOLLOWED_PLACES)))
        words = decimal_words(amount).replace("-", "−")
        return f"{words} {self.prescription.unit}".strip()


def follow_lines(work: Intervention, wrong: FollowForm | None = None) -> list[FollowLine]:
    """The promises of the last readings before this work that its gauges can tell of.

    ``wrong`` is a form that was sent and refused: it stands in its line as it was typed.
    """
    done = {row.prescription_id: row.amount for row in work.moves_done.all()}
    results = [row.latest for row in readings_before(work) if row.latest is not None]
    return [
        _follow_line(promise.prescription, done.get(promise.prescription.pk), wrong)
        for result in results
        for promise in promises(result)
        if promise.prescription.amount and not promise.to_limit
    ]


def readings_before(work: Intervention) -> list[Reading]:
    """Of each gauge and subject that the work is about, the last reading taken before it."""
    gauges = {one.gauge for one in work.version.procedure.readings}
    rows = (
        work.case.readings.present()
        .filter(gauge__in=gauges, not_permitted="")
        .prefetch_related("results__verdicts", "results__prescriptions")
        .order_by("taken_at", "number")
    )
    return list({(row.gauge, row.subject): row for row in rows if not is_after(work, row)}.values())


def _follow_line(told: Prescription, done: float | None, wrong: FollowForm | None) -> FollowLine:
    if wrong is not None and wrong.instance.prescription_id == told.pk:
        form = wrong
    else:
        blank = MoveDone(prescription=told)
        if done is not None:
            blank.amount = done
        form = FollowForm(instance=blank, prefix=followed(told))
    return FollowLine(told, prescription_words(told), done, form)


@dataclass(frozen=True)
class AgreedLine:
    """Agreed work as the docket shows it: what it answers, who works on it, what its proof says."""

    agreed: AgreedWork
    work: Intervention | None
    minutes: int
    clocks: list[Running]
    held: list[Held]

    @property
    def open_points(self) -> list[Held]:
        """What still blocks the beginning, or asks for a reason."""
        return [one for one in self.held if one.blocks or one.asks]

    @property
    def weak_points(self) -> list[Held]:
        """What is not simply as it must be; of signed work, as it stood when it was signed."""
        return [one for one in self.held if one.is_weak]


@dataclass(frozen=True)
class Plan:
    """All agreed work of a case that stands, what came of it, and what it has cost so far."""

    lines: list[AgreedLine]
    given_up: list[AgreedWork]
    spent: Spent
    removed: list[RemovedPart]

    @property
    def begun(self) -> list[AgreedLine]:
        """The agreed works that were begun."""
        return [line for line in self.lines if line.work is not None]

    @property
    def next_to_begin(self) -> AgreedLine | None:
        """The first that was not."""
        return next((line for line in self.lines if line.work is None), None)

    @property
    def next_to_prove(self) -> AgreedLine | None:
        """The first work that is done and not signed off."""
        ready = (line for line in self.lines if line.work and line.work.ended_at)
        return next((line for line in ready if line.work and not line.work.is_signed), None)


def plan_of(case: Case, usual_tax_pct: Decimal = NOTHING) -> Plan:
    """What is agreed and done; ``usual_tax_pct`` is for what no agreement names a tax of."""
    agreed = list(
        case.agreed_works.filter(superseded_at=None)
        .select_related("version", "noted_by", "dropped_by")
        .prefetch_related("findings")
    )
    works = list(
        case.interventions.select_related("agreed", "version", "sign_off__by").prefetch_related(
            Prefetch("spells", WorkSpell.objects.select_related("person")),
            "materials",
            "step_notes",
        )
    )
    for work in works:
        work.case = case
    is_open = any(not work.is_signed for work in works)
    evidence = evidence_of(case) if is_open else Evidence([], [])
    lines = _lines(case, agreed, works, evidence)
    removed = list(case.removed_parts.select_related("part__instrument"))
    for piece in removed:
        piece.case = case
    return Plan(
        [line for line in lines if line.agreed.dropped_at is None],
        [row for row in agreed if row.dropped_at is not None],
        spent_on(agreed, works, usual_tax_pct),
        removed,
    )


def _lines(
    case: Case, agreed: list[AgreedWork], works: list[Intervention], evidence: Evidence
) -> list[AgreedLine]:
    """A line for each work that was begun, and one for each agreement of which none was."""
    now = timezone.now()
    begun: dict[int, list[Intervention]] = {}
    for work in works:
        begun.setdefault(work.agreed_id, []).append(work)
    lines = []
    for row in agreed:
        row.case = case
        mine = begun.get(row.pk, [])
        lines += [_line(row, work, evidence, now) for work in mine] or [
            AgreedLine(row, None, 0, [], [])
        ]
    return lines


def _line(row: AgreedWork, work: Intervention, evidence: Evidence, now: dt.datetime) -> AgreedLine:
    held = held_at_sign_off(work) if work.is_signed else proof_of(work, evidence)
    return AgreedLine(row, work, work.minutes, running_clocks(work, now), held)
