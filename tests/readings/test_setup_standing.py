"""How a set-up stands: what holds, what a change made void, what is next. No database."""

from __future__ import annotations

import datetime as dt

import pytest

from repairs.readings.setup.orders import Order, Step
from repairs.readings.setup.standing import Mark, State, Taken, standing

START = dt.datetime(2026, 5, 4, 9, 0, tzinfo=dt.UTC)
NAMES = {"en": "x", "fr": "x"}


def step(key: str, *voids: str, sheets: tuple[str, ...] = (), **more: object) -> Step:
    return Step(key, NAMES, NAMES, sheets, voids, **more)  # type: ignore[arg-type]


ORDER = Order(
    "small",
    (
        step("wheel", "force", "action", sheets=("wheel",)),
        step("bridge", "wheel", "force"),
        step("force", "action", sheets=("voicing_card",), each_string=True),
        step("action", sheets=("action",)),
        step("play", "force", is_round=True, rest_hours=24),
    ),
)


def after(minutes: float) -> dt.datetime:
    return START + dt.timedelta(minutes=minutes)


def read(number: int, gauge: str, minutes: float, *words: str, **said: object) -> Taken:
    """A reading taken and kept then; what is typed knows no seconds."""
    typed = after(minutes).replace(second=0, microsecond=0)
    said = {"subject": "", "taken_at": typed, "saved_at": after(minutes)} | said
    return Taken(pk=number, number=number, gauge=gauge, words=frozenset(words), **said)  # type: ignore[arg-type]


def mark(pk: int, at_step: str, what: str, minutes: float) -> Mark:
    return Mark(pk, at_step, what, after(minutes), who="Armand")


def states(taken=(), marks=(), strings: int = 2) -> dict[str, State]:
    found = standing(ORDER, taken, marks, strings=strings)
    return {one.step.key: one.state for one in found.steps}


def test_a_set_up_that_has_just_begun_asks_for_its_first_step():
    found = standing(ORDER, [], [])

    assert found.next is not None
    assert (found.next.step.key, found.done, found.round) == ("wheel", 0, 1)


def test_a_reading_inside_its_limits_closes_its_step_and_one_outside_does_not():
    assert states([read(1, "wheel", 1, "inside")])["wheel"] == State.INSIDE
    bad = standing(ORDER, [read(1, "wheel", 1, "inside", "outside")], [])

    assert bad.next is not None
    assert (bad.next.step.key, bad.next.state) == ("wheel", State.OUTSIDE)


def test_the_last_reading_counts_not_the_last_one_typed():
    rows = [read(2, "wheel", 10, "inside"), read(3, "wheel", 5, "outside")]

    assert states(rows)["wheel"] == State.INSIDE


def test_a_change_makes_void_what_it_names_and_itself_and_nothing_else():
    rows = [read(1, "wheel", 1, "inside"), read(2, "action", 2, "inside")]
    marks = [mark(1, "bridge", "seen", 3), mark(2, "wheel", "changed", 10)]

    found = states(rows, marks)

    assert found["wheel"] == found["action"] == State.VOID
    assert found["bridge"] == State.SEEN


def test_a_change_sends_back_to_an_earlier_step():
    rows = [read(1, "wheel", 1, "inside")]
    found = standing(ORDER, rows, [mark(1, "bridge", "changed", 5)])

    assert found.next is not None
    assert found.next.step.key == "wheel"
    assert found.next.state == State.VOID
    assert found.next.voided_by is not None
    assert found.next.voided_by.step == "bridge"


@pytest.mark.parametrize(
    ("taken", "kept", "holds"),
    [
        (4.0, 4.1, False),  # before the change
        (4.0, 6.0, False),  # read before, kept after: it is what was before
        (5.0, 5.2, False),  # in its minute, kept before it
        (5.0, 5.8, True),  # in its minute, kept after it: typed moments know no seconds
        (6.0, 6.1, True),
    ],
)
def test_only_a_reading_taken_after_the_change_holds(taken, kept, holds):
    row = read(1, "wheel", taken, "inside", saved_at=after(kept))

    found = states([row], [mark(1, "wheel", "changed", 5.5)])["wheel"]

    assert found == (State.INSIDE if holds else State.VOID)


def test_each_string_is_to_be_read_and_the_same_string_twice_counts_once():
    rows = [
        read(1, "voicing_card", 1, "inside", subject="Chanterelle 1"),
        read(2, "voicing_card", 2, "inside", subject="chanterelle 1"),
    ]
    assert states(rows)["force"] == State.PARTLY

    rows.append(read(3, "voicing_card", 3, "inside", subject="Mouche"))
    assert states(rows)["force"] == State.INSIDE
    assert states(rows, strings=0)["force"] == State.INSIDE


def test_a_grave_string_is_not_hidden_by_one_that_is_missing():
    rows = [read(1, "voicing_card", 1, "outside", subject="Mouche")]

    assert states(rows)["force"] == State.OUTSIDE


def test_playing_in_begins_a_round_asks_again_and_rests():
    rows = [read(1, "voicing_card", 1, "inside", subject="a")]
    rows.append(read(2, "voicing_card", 2, "inside", subject="b"))
    played = mark(1, "play", "round", 60)

    found = standing(ORDER, rows, [played], strings=2)

    assert found.round == 2
    assert found.rest_until == played.at + dt.timedelta(hours=24)
    kept = {one.step.key: one.state for one in found.steps}
    assert kept["force"] == State.VOID
    assert kept["play"] == State.SEEN
    assert [one.get("force") and one["force"].number for one in found.rounds] == [1, None]


def test_a_reading_that_is_not_permitted_closes_its_step_and_claims_nothing():
    found = states([read(1, "wheel", 1, not_permitted=True)])

    assert found["wheel"] == State.LEFT_OUT


def test_a_step_found_good_by_hand_yields_to_a_later_reading():
    marks = [mark(1, "wheel", "seen", 5)]

    assert states([read(1, "wheel", 1, "outside")], marks)["wheel"] == State.SEEN
    assert states([read(1, "wheel", 9, "outside")], marks)["wheel"] == State.OUTSIDE
