"""How a set-up stands: of each step what was read last, whether it still holds, and what is next.

Nothing of it is stored: it follows from the readings since the set-up began and from the marks. A
reading counts as soon as it is kept, wherever it was taken from; one that was taken before a change
which makes its step void is shown, and asked for again.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from uuid import UUID

from repairs.readings.setup.orders import Order, Step
from repairs.readings.setup_models import SetUpMark

What = SetUpMark.What
GRAVEST_FIRST = ("outside", "doubtful", "inside")


@dataclass(frozen=True)
class Taken:
    """What is asked of a reading: which, of what, when, and the gravest of its verdicts."""

    pk: int
    number: int
    gauge: str
    subject: str
    taken_at: dt.datetime
    saved_at: dt.datetime
    words: frozenset[str] = frozenset()
    not_permitted: bool = False

    @property
    def word(self) -> str:
        if self.not_permitted:
            return State.LEFT_OUT
        return next((word for word in GRAVEST_FIRST if word in self.words), "not_judged")


@dataclass(frozen=True)
class Mark:
    """A mark as the standing asks for it; ``who`` may be empty."""

    pk: int
    step: str
    what: str
    at: dt.datetime
    words: str = ""
    who: str = ""
    tap: UUID | None = None


class State(StrEnum):
    """What is known of a step."""

    OPEN = "open"
    VOID = "void"
    PARTLY = "partly"
    OUTSIDE = "outside"
    DOUBTFUL = "doubtful"
    INSIDE = "inside"
    NOT_JUDGED = "not_judged"
    SEEN = "seen"
    LEFT_OUT = "left_out"


DONE = (State.DOUBTFUL, State.INSIDE, State.NOT_JUDGED, State.SEEN, State.LEFT_OUT)


@dataclass(frozen=True)
class StepState:
    """One step as it stands: its last readings, what was marked, and what made it void."""

    step: Step
    state: State
    readings: tuple[Taken, ...] = ()
    mark: Mark | None = None
    voided_by: Mark | None = None
    wanted: int = 1

    @property
    def is_done(self) -> bool:
        return self.state in DONE


@dataclass(frozen=True)
class Standing:
    """All steps, the round that is going on, and until when the instrument is to rest."""

    steps: tuple[StepState, ...]
    round: int = 1
    rest_until: dt.datetime | None = None
    rounds: tuple[Mapping[str, Taken], ...] = field(default=())

    @property
    def next(self) -> StepState | None:
        """The first step in the order of the hands that is not done."""
        return next((one for one in self.steps if not one.is_done), None)

    @property
    def done(self) -> int:
        return sum(1 for one in self.steps if one.is_done)


def standing(
    order: Order, taken: Sequence[Taken], marks: Sequence[Mark], *, strings: int = 0
) -> Standing:
    """How the set-up stands. ``strings``: how many the instrument has, for what is read of each."""
    taken = sorted(taken, key=_when)
    rounds = [mark for mark in marks if mark.what == What.ROUND]
    steps = tuple(_step_state(order, step, taken, marks, strings) for step in order.steps)
    return Standing(
        steps,
        len(rounds) + 1,
        _rest_until(order, rounds),
        tuple(_round_readings(order, taken, rounds)),
    )


def _when(one: Taken) -> tuple[dt.datetime, int]:
    return one.taken_at, one.number


def _step_state(
    order: Order, step: Step, taken: Sequence[Taken], marks: Sequence[Mark], strings: int
) -> StepState:
    """The last word on a step: a reading, or a mark made by hand, whichever is the younger."""
    void = _last(mark for mark in marks if _voids(order, mark, step))
    mark = _last(one for one in marks if one.step == step.key and _closes(one, step))
    readings = _last_of_each(taken, step)
    holds = tuple(one for one in readings if void is None or holds_after(one, void))
    stands = mark if mark and (void is None or mark.pk >= void.pk) else None
    if stands and not any(one.saved_at > stands.at for one in holds):
        state = State.LEFT_OUT if stands.what == What.LEFT_OUT else State.SEEN
        return StepState(step, state, holds, stands)
    wanted = max(1, strings) if step.each_string else max(1, len(step.sheets))
    if holds:
        return StepState(step, _read_state(holds, wanted), holds, None, void, wanted)
    if void and (readings or mark or void.step == step.key):
        return StepState(step, State.VOID, readings, mark, void, wanted)
    return StepState(step, State.OPEN, (), None, None, wanted)


def _voids(order: Order, mark: Mark, step: Step) -> bool:
    """Whether a mark makes a step void: a change there or before; a round only what it names."""
    if mark.what == What.CHANGED:
        return mark.step in order.voiding(step.key)
    return mark.what == What.ROUND and mark.step in order.voiding(step.key)[1:]


def _closes(mark: Mark, step: Step) -> bool:
    """A step is closed by hand; playing in closes itself, as long as nothing is changed after."""
    return mark.what in (What.SEEN, What.LEFT_OUT) or (step.is_round and mark.what == What.ROUND)


def holds_after(one: Taken, void: Mark) -> bool:
    """Whether a reading was taken after a change. What is typed knows no seconds."""
    minute = void.at.replace(second=0, microsecond=0)
    return one.taken_at >= minute and one.saved_at > void.at


def _last(marks: Iterable[Mark]) -> Mark | None:
    return max(marks, key=lambda mark: mark.pk, default=None)


def _last_of_each(taken: Sequence[Taken], step: Step) -> tuple[Taken, ...]:
    """The last reading of each sheet of the step; of each string where it is read by the string."""
    last: dict[tuple[str, str], Taken] = {}
    for one in taken:
        if one.gauge in step.sheets:
            last[one.gauge, one.subject.casefold() if step.each_string else ""] = one
    return tuple(last.values())


def _read_state(holds: Sequence[Taken], wanted: int) -> State:
    words = [one.word for one in holds]
    if "outside" in words:
        return State.OUTSIDE
    if len(holds) < wanted:
        return State.PARTLY
    return State(next((word for word in (*GRAVEST_FIRST, "not_judged") if word in words), words[0]))


def _rest_until(order: Order, rounds: Sequence[Mark]) -> dt.datetime | None:
    mark = _last(rounds)
    step = order.step(mark.step) if mark else None
    if mark is None or step is None or not step.rest_hours:
        return None
    return mark.at + dt.timedelta(hours=step.rest_hours)


def _round_readings(
    order: Order, taken: Sequence[Taken], rounds: Sequence[Mark]
) -> Iterable[Mapping[str, Taken]]:
    """Of each round the graver of the last readings of each step; rounds are kept, none is lost."""
    ends: list[dt.datetime | None] = [*(mark.at for mark in rounds), None]
    since: dt.datetime | None = None
    for end in ends:
        inside = [
            one
            for one in taken
            if (since is None or one.saved_at > since) and (end is None or one.saved_at <= end)
        ]
        last = {step.key: _last_of_each(inside, step) for step in order.steps}
        yield {key: min(rows, key=_gravity) for key, rows in last.items() if rows}
        since = end


def _gravity(one: Taken) -> int:
    ranked = (*GRAVEST_FIRST, "not_judged", State.LEFT_OUT)
    return ranked.index(one.word)
