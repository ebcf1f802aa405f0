"""One signed-off piece of work as the treatment report tells it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeVar

from django.db.models import Prefetch
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from repairs.cases.models import Case
from repairs.language.dates import day_words
from repairs.language.text import in_language, labelled, sentences
from repairs.papers.blocks.pictures import Blocks
from repairs.papers.blocks.readings import room_words
from repairs.papers.blocks.treatment_document import (
    MinutesLine,
    ProofLine,
    StepLine,
    WorkBlock,
)
from repairs.papers.condition.so_far import agreement_words
from repairs.papers.treatment.readings import promise_lines, reading_pairs
from repairs.papers.treatment.supplies import Parts, material_line, new_part_line
from repairs.photos.models import Photo
from repairs.procedures.forms import GRADES
from repairs.readings.models import Reading
from repairs.readings.sheets.catalogue import SHEETS
from repairs.treatment.actions import latest_notes
from repairs.treatment.held import STATE_SIGNS, STATE_WORDS
from repairs.treatment.models import Intervention, StepNote, WorkSpell
from repairs.treatment.outcome_models import Achieved
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from repairs.treatment.show import minutes_by_person

STEP_SIGNS = {"done": "●", "otherwise": "◐", "left_out": "✕", "open": "○"}
Struck = TypeVar("Struck", MaterialUse, NewPart)


def works_of(case: Case) -> list[Intervention]:
    """All work begun on the case, with everything that hangs on it."""
    rows = case.interventions.select_related("agreed__version", "version", "sign_off__by")
    works = list(
        rows.prefetch_related(
            "findings",
            "parts",
            Prefetch("spells", WorkSpell.objects.select_related("person")),
            "step_notes",
            "materials",
            Prefetch("new_parts", NewPart.objects.select_related("withdrawal__piece")),
            Prefetch("removed_parts", RemovedPart.objects.select_related("photo", "removed_by")),
            Prefetch("achieved", Achieved.objects.select_related("prescription", "after")),
        )
    )
    for work in works:
        work.case = case
    return works


def work_block(
    work: Intervention,
    blocks: Blocks,
    parts: Parts,
    readings: Sequence[Reading],
    decisions: Mapping[str, str],
) -> WorkBlock:
    """One piece of work with what was agreed, done, used, measured and proved."""
    return WorkBlock(
        number=work.number,
        **_as_agreed(work, decisions),
        findings=tuple(blocks[one.pk] for one in work.findings.all() if one.pk in blocks),
        parts=tuple(parts[one.pk].label() for one in work.parts.all() if one.pk in parts),
        days=_days(work),
        people=_people(work),
        climate=room_words(work.room_t_c, work.room_rh_pct),
        words=work.words,
        steps=_steps(work),
        materials=tuple(material_line(one) for one in standing(work.materials.all())),
        new_parts=tuple(new_part_line(one, parts) for one in standing(work.new_parts.all())),
        removed=tuple(str(one) for one in bags_of(work)),
        readings=reading_pairs(work, readings),
        promises=promise_lines(work, readings),
        proof=tuple(_proof(row) for row in work.sign_off.rows),
        signed=_("%(day)s, by %(who)s")
        % {"day": day_words(work.sign_off.at), "who": work.sign_off.by},
        signed_words=work.sign_off.words,
    )


def _as_agreed(work: Intervention, decisions: Mapping[str, str]) -> dict[str, Any]:
    """The fields that say what was agreed: the procedure as pinned, and whether it undoes."""
    procedure = work.version.procedure
    return {
        "title": str(work.agreed),
        "procedure": str(procedure),
        "version": _version(work),
        "purpose": in_language(procedure.purpose),
        "agreement": agreement_words(work.agreed, decisions),
        "is_emergency": work.agreed.is_emergency,
        "grade": grade_words(procedure.grade),
        "reversibility": in_language(procedure.reversibility),
        "undoing": _undoing(work),
    }


def _people(work: Intervention) -> tuple[MinutesLine, ...]:
    return tuple(
        MinutesLine(person=str(one.person), minutes=one.minutes, typed=one.typed)
        for one in minutes_by_person(work.spells.all())
    )


def standing(rows: Iterable[Struck]) -> list[Struck]:
    """Those that were not struck again."""
    return [row for row in rows if row.withdrawn_at is None]


def bags_of(work: Intervention) -> list[RemovedPart]:
    """The pieces taken off in this work, in the order of their bags; no query for their case."""
    rows = list(work.removed_parts.all())
    for row in rows:
        row.case = work.case
    return rows


def grade_words(grade: str) -> str:
    """By how far the work can be undone, in the words of the procedures."""
    return str(dict(GRADES).get(grade, grade))


def _undoing(work: Intervention) -> str:
    """Whether the work can be undone, as it was done.

    What its procedure cannot undo may hang on a step that was left out: then the grade alone would
    say too much, and the words of the procedure stand beside the steps that were left out.
    """
    procedure = work.version.procedure
    words = in_language(procedure.reversibility)
    left_out = left_out_words(work)
    if procedure.is_irreversible and left_out:
        return sentences((words, *left_out))
    return sentences((grade_words(procedure.grade), words))


def left_out_words(work: Intervention, *, with_reason: bool = False) -> tuple[str, ...]:
    """Each step that was left out, by its last note; with the reason stated where wanted."""
    notes = latest_notes(work)
    said = []
    for step in work.version.procedure.steps:
        note = notes.get(step.key)
        if note is not None and note.state == StepNote.State.LEFT_OUT:
            words = labelled(step, note.words if with_reason else "")
            told = {"number": work.number, "step": words}
            said.append(_("work %(number)s, step left out: %(step)s") % told)
    return tuple(said)


def _version(work: Intervention) -> str:
    said = {"version": work.version.version, "origin": work.version.get_origin_display()}
    return _("version %(version)s, %(origin)s") % said


def _days(work: Intervention) -> str:
    """From the beginning to the end, one day where both are the same."""
    first, last = day_words(work.opened_at), day_words(work.ended_at or work.sign_off.at)
    if first == last:
        return first
    return _("%(first)s to %(last)s") % {"first": first, "last": last}


def _steps(work: Intervention) -> tuple[StepLine, ...]:
    notes = latest_notes(work)
    return tuple(_step(str(step), notes.get(step.key)) for step in work.version.procedure.steps)


def _step(label: str, note: StepNote | None) -> StepLine:
    state = note.state if note else StepNote.State.OPEN
    return StepLine(
        label=str(capfirst(label)),
        sign=STEP_SIGNS[state],
        state=str(note.get_state_display()) if note else _("not noted"),
        words=note.words if note else "",
    )


def _proof(row: Mapping[str, object]) -> ProofLine:
    """One line of the proof, said anew: it was written down in the language of who signed."""
    state = str(row["state"])
    numbers = row["readings"]
    return ProofLine(
        label=proof_label(str(row["key"])) or str(row["label"]),
        sign=STATE_SIGNS[state],
        words=str(STATE_WORDS[state]),
        readings=tuple(numbers) if isinstance(numbers, list | tuple) else (),
        reason=str(row.get("reason", "")),
    )


def proof_label(key: str) -> str:
    """What a line of the proof is about; empty for a key that is not known."""
    first, _dot, rest = key.partition(".")
    if first in Reading.Phase.values and rest in SHEETS:
        said = {"gauge": capfirst(str(SHEETS[rest].label)), "phase": Reading.Phase(first).label}
        return _("%(gauge)s, %(phase)s") % said
    if first == "photos" and rest in Photo.Phase.values:
        return _("Photo, %(phase)s") % {"phase": Photo.Phase(rest).label}
    return {
        "asks.climate": _("Climate of the room"),
        "asks.glue_temperature": _("Temperature of the glue"),
        "steps": _("Steps with what really happened"),
    }.get(key, "")
