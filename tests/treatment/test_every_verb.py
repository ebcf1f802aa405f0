"""Each verb of the bench: it holds its case, says its line, and leaves signed work alone."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from repairs.audit.models import LogEntry
from repairs.readings.models import Prescription
from repairs.treatment import actions, agree, clocks, parts
from repairs.treatment.models import Intervention, StepNote, WorkSpell
from repairs.treatment.outcome_models import MoveDone
from repairs.treatment.part_models import MaterialUse, NewPart, RemovedPart
from repairs.treatment.refusals import NotAgreedError, WorkClosedError
from repairs.treatment.signing import sign_off
from tests import factories
from tests.treatment.promising import told, tuned


@pytest.fixture
def things(case, plain_work, armand) -> dict[str, Any]:
    """What was noted in the work already and may be taken back or followed."""
    now = timezone.now()
    use = MaterialUse(intervention=plain_work, name="glue")
    part = NewPart(intervention=plain_work, description="peg", origin="bought", material="boxwood")
    reading = tuned(case, "2,9", by=armand)
    return {
        "glue": parts.use_material(use, by=armand, at=now),
        "peg": parts.fit_new_part(part, None, by=armand, at=now),
        "told": told(reading, "keys.move"),
    }


Verb = Callable[[Intervention, dict[str, Any], dict[str, Any]], Any]


def step_noted(work: Intervention, _things: Any, deed: Any) -> Any:
    return actions.note_steps(work, [StepNote(step="do", state="done")], **deed)


def minutes_typed(work: Intervention, _things: Any, deed: Any) -> Any:
    spell = WorkSpell(intervention=work, person=deed["by"], started_at=timezone.now(), minutes=25)
    return clocks.type_minutes(spell, **deed)


def bagged(work: Intervention, _things: Any, deed: Any) -> Any:
    piece = RemovedPart(intervention=work, case=work.case, description="old peg")
    return parts.remove_part(piece, **deed)


def fitted(work: Intervention, _things: Any, deed: Any) -> Any:
    part = NewPart(intervention=work, description="nut", origin="bought", material="bone")
    return parts.fit_new_part(part, None, **deed)


def followed(work: Intervention, things: dict[str, Any], deed: Any) -> Any:
    prescription: Prescription = things["told"]
    row = MoveDone(intervention=work, prescription=prescription, amount=-0.3, unit="mm")
    return parts.follow(row, **deed)


VERBS: dict[str, Verb] = {
    "work.described": lambda work, _things, deed: actions.describe_work(work, **deed),
    "step.noted": step_noted,
    "work.ended": lambda work, _things, deed: actions.set_ended(work, True, **deed),
    "clock.started": lambda work, _things, deed: clocks.start_clock(work, **deed),
    "clock.typed": minutes_typed,
    "material.used": lambda work, _things, deed: parts.use_material(
        MaterialUse(intervention=work, name="chalk"), **deed
    ),
    "material.withdrawn": lambda _work, things, deed: parts.take_back_material(
        things["glue"], **deed
    ),
    "part.removed": bagged,
    "part.new": fitted,
    "part.new_withdrawn": lambda _work, things, deed: parts.take_back_new_part(
        things["peg"], **deed
    ),
    "prescription.followed": followed,
    "work.signed_off": lambda work, _things, deed: sign_off(
        work, reasons={"steps": "told by mouth"}, words="", **deed
    ),
}
# What the log tells beside the number of the work; ids are asked for by what has them.
DETAILS: dict[str, Callable[[dict[str, Any], Any], dict[str, Any]]] = {
    "step.noted": lambda _things, _done: {"steps": 1},
    "clock.typed": lambda _things, done: {"minutes": 25, "person": done.person_id},
    "material.used": lambda _things, done: {"material": done.pk},
    "material.withdrawn": lambda things, _done: {"material": things["glue"].pk},
    "part.removed": lambda _things, _done: {"bag": 1},
    "part.new": lambda _things, done: {"part": done.pk},
    "part.new_withdrawn": lambda things, _done: {"part": things["peg"].pk},
    "prescription.followed": lambda things, _done: {"prescription": things["told"].pk},
}


@pytest.mark.parametrize("verb", VERBS)
def test_each_deed_says_one_line_of_who_and_of_which_work(case, plain_work, things, lise, verb):
    before = LogEntry.objects.count()
    at = timezone.now()

    done = VERBS[verb](plain_work, things, {"by": lise, "at": at})

    lines = list(LogEntry.objects.filter(verb=verb, seq__gt=before))
    assert [(line.actor, line.subject, line.at) for line in lines] == [(lise, case.log_key, at)]
    more = DETAILS[verb](things, done) if verb in DETAILS else {}
    assert lines[0].details == {"work": 1} | more


@pytest.mark.parametrize("verb", VERBS)
def test_signed_work_is_left_as_it_was_by_every_deed(plain_work, things, armand, verb):
    factories.signed_off(factories.ticked(plain_work, by=armand), by=armand)
    lines = LogEntry.objects.count()

    with pytest.raises(WorkClosedError, match="Work 1 was signed off on"):
        VERBS[verb](plain_work, things, {"by": armand, "at": timezone.now()})

    assert LogEntry.objects.count() == lines


def test_whoever_changes_a_work_holds_its_case(case, plain_work, monkeypatch):
    held: list[int] = []
    monkeypatch.setattr(actions, "locked_case", held.append)

    actions.check_open(plain_work)

    assert held == [case.pk]


def test_who_decides_for_the_house_holds_the_case_before_it_looks(case, helene, monkeypatch):
    held: list[int] = []
    monkeypatch.setattr(agree, "locked_case", held.append)

    with pytest.raises(NotAgreedError, match="not the house’s own"):
        agree.agree_house_work(case, [], agree.Terms(basis="house"), by=helene, at=timezone.now())

    assert held == [case.pk]


@pytest.mark.parametrize("verb", ["stop", "fate"])
def test_a_clock_that_stops_and_a_bag_that_moves_hold_the_case(
    case, plain_work, armand, monkeypatch, verb
):
    now = timezone.now()
    spell = clocks.start_clock(plain_work, by=armand, at=now)
    piece = bagged(plain_work, {}, {"by": armand, "at": now})
    held: list[int] = []
    for module in (clocks, parts):
        monkeypatch.setattr(module, "locked_case", held.append)

    if verb == "stop":
        clocks.stop_clock(spell, by=armand, at=now)
    else:
        parts.set_fate(piece, "given_back", "to the owner", by=armand, at=now)

    assert held == [case.pk]


def test_what_is_taken_back_says_when(case, plain_work, things, armand):
    at = timezone.now()

    parts.take_back_material(things["glue"], by=armand, at=at)
    parts.take_back_new_part(things["peg"], by=armand, at=at)

    assert MaterialUse.objects.get().withdrawn_at == at
    assert NewPart.objects.get().withdrawn_at == at


def test_work_is_ended_once_and_taken_up_once(plain_work, armand):
    at = timezone.now()
    for ended in (False, True, True, False, False):
        actions.set_ended(plain_work, ended, by=armand, at=at)
        plain_work.refresh_from_db()
        assert plain_work.ended_at == (at if ended else None)

    verbs = LogEntry.objects.filter(verb__in=("work.ended", "work.resumed")).order_by("seq")
    assert [line.verb for line in verbs] == ["work.ended", "work.resumed"]


def test_work_begun_remembers_its_parts_its_version_and_who_began_it(case, agreed, armand):
    work = factories.begun_work(agreed, by=armand, parts=("back", "soundboard"))
    line = LogEntry.objects.get(verb="work.opened")

    kept = Intervention.objects.get(pk=work.pk)
    assert {part.key for part in kept.parts.all()} == {"back", "soundboard"}
    assert (kept.version, kept.opened_by) == (agreed.version, armand)
    assert line.details == {"work": 1, "agreed": agreed.number}


def test_starting_a_clock_takes_up_work_that_was_ended_and_says_only_that(plain_work, armand):
    actions.set_ended(plain_work, True, by=armand, at=timezone.now())

    clocks.start_clock(plain_work, by=armand, at=timezone.now())

    plain_work.refresh_from_db()
    assert plain_work.ended_at is None


def test_minutes_typed_end_so_many_minutes_after_they_began(plain_work, armand):
    spell = minutes_typed(plain_work, {}, {"by": armand, "at": timezone.now()})

    kept = WorkSpell.objects.get(pk=spell.pk)
    assert kept.ended_at is not None
    assert (kept.ended_at - kept.started_at).total_seconds() == 25 * 60
    assert kept.typed is True
    assert plain_work.minutes == 25


def test_words_and_room_of_a_work_are_written(plain_work, armand):
    plain_work.words, plain_work.room_t_c = "Old glue.", Decimal("19.5")
    plain_work.room_rh_pct = Decimal("50.0")

    actions.describe_work(plain_work, by=armand, at=timezone.now())

    kept = Intervention.objects.get(pk=plain_work.pk)
    assert (kept.words, kept.room_t_c, kept.room_rh_pct) == (
        "Old glue.",
        Decimal("19.5"),
        Decimal("50.0"),
    )


def test_one_of_two_given_up_on_the_bench_leaves_the_case_there(case, armand):
    first, second = (
        factories.agreed_work(case, key, by=armand, basis="house") for key in ("free", "loose_bar")
    )
    factories.begun_work(first, by=armand)

    agree.drop_work(second, because="dear", by=armand, at=(at := timezone.now()))

    case.refresh_from_db()
    second.refresh_from_db()
    assert case.step == "on_bench"
    assert (second.dropped_at, second.dropped_by, second.dropped_because) == (at, armand, "dear")
    line = LogEntry.objects.get(verb="work.dropped")
    assert line.details == {"agreed": second.number}
