"""The steps of a work as the bench shows them: one at a time, and what was said of each."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.formats import date_format
from django.utils.timezone import localdate, localtime, now
from django.utils.translation import gettext as _

from repairs.people.models import User
from repairs.procedures.procedure import Step
from repairs.treatment.actions import latest_notes
from repairs.treatment.models import Intervention, StepNote

SIGNS: Mapping[str, str] = {"open": "○", "done": "✓", "otherwise": "◐", "left_out": "✕"}
COLOURS: Mapping[str, str] = {"done": "moss"}


@dataclass(frozen=True)
class StepLine:
    """One step: its place in the work, what was said last of it, and by whom.

    ``mine`` is the place of the reader's own word among all their last words, from one on; nought
    when somebody else spoke last, or nobody.
    """

    number: int
    step: Step
    state: str
    said: str
    mine: int

    @property
    def is_open(self) -> bool:
        """Whether it is still to be done."""
        return self.state == StepNote.State.OPEN

    @property
    def sign(self) -> str:
        """The sign in the margin; ``said`` tells the same in words."""
        return SIGNS[self.state]

    @property
    def colour(self) -> str:
        """The class of the sign's colour."""
        return COLOURS.get(self.state, "")

    def as_json(self) -> dict[str, Any]:
        """What a page that is open already has to know."""
        return {
            "key": self.step.key,
            "state": self.state,
            "sign": self.sign,
            "said": self.said,
            "mine": self.mine > 0,
        }


@dataclass(frozen=True)
class Steps:
    """All steps of a work, the one in hand, and the one whose word can be taken back."""

    lines: Sequence[StepLine]
    now: StepLine | None
    undo: StepLine | None
    is_list: bool

    @property
    def coming(self) -> list[StepLine]:
        """Those still to be done, but for the one in hand; all of them in a list."""
        return [one for one in self.lines if one.is_open and (self.is_list or one != self.now)]

    @property
    def noted(self) -> list[StepLine]:
        """Those of which something was said, the latest of the work first."""
        said = [one for one in self.lines if not one.is_open and (self.is_list or one != self.now)]
        return said[::-1]

    @property
    def done_n(self) -> int:
        """How many are noted."""
        return sum(1 for one in self.lines if not one.is_open)

    @property
    def all_noted(self) -> bool:
        """Whether none is left to be done."""
        return self.done_n == len(self.lines)

    @property
    def at_hand(self) -> list[StepLine]:
        """The one in hand, as a list of one or none."""
        return [self.now] if self.now and not self.is_list else []


def step_lines(work: Intervention, reader: User | Any) -> list[StepLine]:
    """Each step of the procedure in the order of the hands."""
    notes = latest_notes(work)
    own = [note for note in notes.values() if note.by_id == reader.pk]
    own.sort(key=lambda note: (note.at, note.pk))
    place = {note.step: number for number, note in enumerate(own, 1)}
    today = localdate(now())
    return [
        _line(number, step, notes.get(step.key), place.get(step.key, 0), today)
        for number, step in enumerate(work.version.procedure.steps, 1)
    ]


def _line(number: int, step: Step, note: StepNote | None, mine: int, today: dt.date) -> StepLine:
    if note is None or (note.state == StepNote.State.OPEN and not note.words):
        return StepLine(number, step, StepNote.State.OPEN, "", 0)
    return StepLine(number, step, note.state, said_of(note, today), mine)


def said_of(note: StepNote, today: dt.date) -> str:
    """What became of a step, in the words of who did it, with their name and the time."""
    own = f"{note.get_state_display()}" if note.state in StepNote.WORDED else ""
    moment = localtime(note.at)
    form = "TIME_FORMAT" if moment.date() == today else "SHORT_DATETIME_FORMAT"
    told = _("%(who)s, %(when)s") % {"who": note.by, "when": date_format(moment, form)}
    return " · ".join(one for one in (own, note.words, told) if one)


def steps_at_hand(lines: Sequence[StepLine], *, wanted: str = "", is_list: bool = False) -> Steps:
    """The steps with the one in hand: the one that is asked for, or the first still to be done."""
    asked = next((one for one in lines if one.step.key == wanted), None)
    first = next((one for one in lines if one.is_open), None)
    said = [one for one in lines if one.mine and not one.is_open]
    undo = max(said, key=lambda one: one.mine, default=None)
    return Steps(lines, asked or first, undo, is_list)


def after(lines: Sequence[StepLine], key: str) -> StepLine | None:
    """What comes next when a step is told: the next open one, or one that was passed over."""
    place = next((at for at, one in enumerate(lines) if one.step.key == key), 0)
    round_about = [*lines[place + 1 :], *lines[:place]]
    return next((one for one in round_about if one.is_open), None)
