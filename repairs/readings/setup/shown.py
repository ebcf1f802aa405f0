"""A set-up as its page says it: a row a step, with its reading, verdict, card and next deed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID, uuid4

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repairs.cases.models import Case
from repairs.readings.bench_card import has_card
from repairs.readings.models import Prescription, Reading
from repairs.readings.setup.orders import Order, Step
from repairs.readings.setup.standing import Mark, Standing, State, StepState, Taken
from repairs.readings.sheets.base import Text
from repairs.readings.sheets.catalogue import sheet_of
from repairs.readings.sheets.common import SIGNS
from repairs.readings.show import figure_rows

MOST_SAID = 3  # figures outside that a row names; the reading itself names all of them
STATE_SIGNS: Mapping[State, str] = {
    State.OPEN: "○",
    State.VOID: "↻",
    State.PARTLY: "◐",
    State.SEEN: "●",
    State.LEFT_OUT: "–",
}
STATE_WORDS: Mapping[State, Text] = {
    State.OPEN: gettext_lazy("not looked at yet"),
    State.VOID: gettext_lazy("read again"),
    State.PARTLY: gettext_lazy("not all of it read"),
    State.OUTSIDE: gettext_lazy("outside"),
    State.DOUBTFUL: gettext_lazy("doubtful"),
    State.INSIDE: gettext_lazy("inside"),
    State.NOT_JUDGED: gettext_lazy("read, not judged"),
    State.SEEN: gettext_lazy("good by hand and eye"),
    State.LEFT_OUT: gettext_lazy("left out"),
}


@dataclass(frozen=True)
class ShownReading:
    """A reading of a step: its address by its number, its word, and whether it asks for hands."""

    number: int
    title: str
    sign: str
    word: str
    word_label: str
    outside: tuple[str, ...]
    has_card: bool


@dataclass(frozen=True)
class ToRead:
    """A sheet of a step, to be opened."""

    gauge: str
    label: str


@dataclass(frozen=True)
class ShownStep:
    """One step in words. ``is_next``: the one thing to do now."""

    place: int
    step: Step
    state: str
    sign: str
    state_label: str
    readings: tuple[ShownReading, ...]
    sheets: tuple[ToRead, ...]
    why: str
    said: str
    voids: str
    is_next: bool
    is_done: bool
    tap: UUID


@dataclass(frozen=True)
class RoundRow:
    """A round that was played, with the word of each step that was read in it."""

    number: int
    cells: tuple[ShownReading, ...]


def steps_shown(order: Order, standing: Standing, case: Case) -> list[ShownStep]:
    """Every step in the order of the hands; the first that is not done stands out."""
    now = [one for step in standing.steps for one in step.readings]
    outside = _outside(case, [one.pk for one in now if one.word == State.OUTSIDE])
    cards = _with_cards([one.pk for one in now])
    ahead = standing.next
    return [
        ShownStep(
            place=place,
            step=one.step,
            state=str(one.state),
            sign=STATE_SIGNS.get(one.state) or SIGNS[one.state],
            state_label=_state_words(one),
            readings=tuple(_reading(row, outside, cards) for row in one.readings),
            sheets=tuple(ToRead(key, str(sheet_of(key).label)) for key in one.step.sheets),
            why=_why(order, one),
            said=_mark_words(one.mark) if one.mark else "",
            voids=_voided_words(order, one.step),
            is_next=one is ahead,
            is_done=one.is_done,
            tap=uuid4(),
        )
        for place, one in enumerate(standing.steps, 1)
    ]


def _state_words(one: StepState) -> str:
    if one.state == State.PARTLY:
        said = _("%(count)s of %(wanted)s read")
        return said % {"count": len(one.readings), "wanted": one.wanted}
    return str(STATE_WORDS[one.state])


def _reading(
    one: Taken, outside: Mapping[int, tuple[str, ...]], cards: frozenset[int]
) -> ShownReading:
    word = one.word
    is_left_out = word == State.LEFT_OUT
    return ShownReading(
        number=one.number,
        title=one.subject or str(sheet_of(one.gauge).label),
        sign="○" if is_left_out else SIGNS[word],
        word=word,
        word_label=_("not permitted") if is_left_out else str(STATE_WORDS[State(word)]),
        outside=outside.get(one.pk, ()),
        has_card=one.pk in cards,
    )


def _outside(case: Case, keys: Sequence[int]) -> dict[int, tuple[str, ...]]:
    """The figures outside their limits, with the limit, of the readings that have such."""
    rows = Reading.objects.filter(pk__in=keys).prefetch_related("results__verdicts")
    found = {}
    for row in rows if keys else ():
        row.case = case
        said = [
            f"{one.label} {one.value} ({one.limit})"
            for one in figure_rows(row)
            if one.word == State.OUTSIDE
        ]
        found[row.pk] = tuple(_shortened(said))
    return found


def _shortened(said: list[str]) -> list[str]:
    if len(said) <= MOST_SAID:
        return said
    more = len(said) - MOST_SAID
    words = ngettext("%(count)s other too", "%(count)s others too", more)
    return [*said[:MOST_SAID], words % {"count": more}]


def _with_cards(keys: Sequence[int]) -> frozenset[int]:
    """The readings whose newest result proposes something for the hands."""
    rows = Prescription.objects.filter(result__reading__in=keys).order_by("result_id")
    newest: dict[int, tuple[int, bool]] = {}
    for reading, result, code in rows.values_list("result__reading_id", "result_id", "code"):
        was = newest.get(reading, (result, False))
        newest[reading] = (result, has_card(code) or (was[0] == result and was[1]))
    return frozenset(reading for reading, (_result, is_told) in newest.items() if is_told)


def _why(order: Order, one: StepState) -> str:
    """Why it is to be read again: which change, by whom, when."""
    mark = one.voided_by
    if one.state != State.VOID or mark is None:
        return ""
    if mark.step == one.step.key:
        return _("Changed on %(when)s (%(who)s): read it again.") % _of(mark)
    words = _("Void since “%(changed)s” was changed on %(when)s (%(who)s).")
    if mark.what != "changed":
        words = _("To be read again after “%(changed)s” on %(when)s (%(who)s).")
    return words % (_of(mark) | {"changed": order.step(mark.step)})


def _mark_words(mark: Mark) -> str:
    when = date_format(localtime(mark.at), "SHORT_DATETIME_FORMAT")
    said = f"{when}, {mark.who}" if mark.who else when
    return f"{mark.words} · {said}" if mark.words else said


def _of(mark: Mark) -> dict[str, object]:
    return {"when": date_format(localtime(mark.at), "SHORT_DATETIME_FORMAT"), "who": mark.who}


def _voided_words(order: Order, step: Step) -> str:
    """What a change at this step sends back, named so that one thinks before one files."""
    if not step.voids:
        return ""
    places = {one.key: place for place, one in enumerate(order.steps)}
    back = [key for key in step.voids if places[key] < places[step.key]]
    ahead = [key for key in step.voids if key not in back]
    said = ", ".join(str(order.step(key)) for key in sorted(ahead, key=places.__getitem__))
    if not back:
        return _("A change here makes void: %(steps)s.") % {"steps": said}
    earlier = ", ".join(str(order.step(key)) for key in back)
    if not ahead:
        return _("A change here sends back to: %(steps)s.") % {"steps": earlier}
    words = _("A change here sends back to: %(earlier)s; and makes void: %(steps)s.")
    return words % {"earlier": earlier, "steps": said}


def rounds_shown(standing: Standing, order: Order) -> list[RoundRow]:
    """Every round with what was read in it; the first alone says nothing that the steps do not."""
    if len(standing.rounds) < 2:
        return []
    return [
        RoundRow(
            number,
            tuple(
                _reading_of_round(step, one[step.key]) for step in order.steps if step.key in one
            ),
        )
        for number, one in enumerate(standing.rounds, 1)
    ]


def _reading_of_round(step: Step, one: Taken) -> ShownReading:
    shown = _reading(one, {}, frozenset())
    return ShownReading(
        shown.number, str(step), shown.sign, shown.word, shown.word_label, (), has_card=False
    )


def line_words(standing: Standing) -> str:
    """The set-up in a line: how far it has come, and what is next."""
    count = {"done": standing.done, "all": len(standing.steps)}
    if standing.next is None:
        return _("%(done)s of %(all)s steps hold") % count
    said = _("%(done)s of %(all)s steps hold; next: %(next)s")
    return said % (count | {"next": standing.next.step})
