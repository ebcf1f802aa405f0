"""Counts and sentences of the treatment report, on blocks made by hand: no case, no database."""

from __future__ import annotations

from dataclasses import fields
from types import SimpleNamespace
from typing import Any

import pytest

from repairs.papers.blocks.treatment_document import (
    FigureChange,
    MaterialLine,
    MinutesLine,
    NewPartLine,
    PromiseLine,
    ReadingPair,
    WorkBlock,
)
from repairs.papers.treatment import answers, before, points, record

EMPTY: dict[str, Any] = {"number": 1, "is_emergency": False}


def made(kind: Any, **said: Any) -> Any:
    """A row of that kind, with nothing in what is not said."""
    blank = {one.name: () if str(one.type).startswith("tuple") else "" for one in fields(kind)}
    return kind(**blank | said)


def block(**said: Any) -> WorkBlock:
    row: WorkBlock = made(WorkBlock, **EMPTY | said)
    return row


def figure(word: str, **said: Any) -> FigureChange:
    row: FigureChange = made(FigureChange, word=word, **said)
    return row


def pair(*words: str, unsaid: int = 0, **said: Any) -> ReadingPair:
    figures = tuple(figure(word) for word in words)
    row: ReadingPair = made(ReadingPair, figures=figures, inside_unsaid=unsaid, **said)
    return row


# Figures and readings ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        ([], "no reading after the work was asked for"),
        (
            [pair("inside", "outside", unsaid=3), pair("doubtful", "inside")],
            "5 inside their limits, 1 doubtful, 1 outside",  # by hand: 1 + 3 + 1 inside
        ),
        (
            [pair("not_judged", "not_judged")],
            "0 inside their limits, 0 doubtful, 0 outside, 2 not judged",
        ),
        ([pair(not_permitted="sealed")], "1 reading not made because not permitted"),
        (
            [pair("inside"), pair(not_permitted="sealed"), pair(not_permitted="worn")],
            "1 inside their limits, 0 doubtful, 0 outside, "
            "2 readings not made because not permitted",
        ),
    ],
    ids=["none", "judged", "not judged", "not permitted", "both"],
)
def test_figures_are_counted_by_how_they_lie(pairs, words):
    assert points.count_words(pairs) == words


def test_only_readings_after_the_work_prove_it():
    rows = [pair(after="reading 2"), pair(before="reading 1")]

    assert points.pairs_after([block(readings=tuple(rows)), block()]) == rows[:1]


def test_at_most_three_figures_outside_are_named_on_the_first_page():
    outside = tuple(figure("outside", label=f"key {n}", after="9 cents") for n in range(1, 5))
    fine = (figure("inside", label="key 9", after="0 cents"),)
    one = made(
        ReadingPair, title="keys", figures=fine + outside, inside_unsaid=0, after="reading 2"
    )

    lines = answers._proof_words([block(readings=(one,))]).splitlines()

    assert lines == [
        "1 inside their limits, 0 doubtful, 4 outside",
        *(f"Keys: key {n} 9 cents" for n in (1, 2, 3)),
    ]


@pytest.mark.parametrize(
    ("count", "told"),
    [(0, []), (2, ["a", "b"]), (3, ["a", "b", "and 1 more, see below"])],
)
def test_two_things_not_done_are_named_and_the_rest_is_counted(count, told):
    assert answers._first_of(tuple("abcd"[:count])).splitlines() == told


@pytest.mark.parametrize(("parts", "words"), [((), "2 · seam"), (("back",), "2 · seam (back)")])
def test_a_work_is_told_with_the_parts_it_was_done_on(parts, words):
    assert answers._work_line(block(number=2, title="seam", parts=parts)) == words


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([], ""),
        ([pair(before="r 1", after="r 2")], "1 of 1 readings was taken before and after"),
        (
            [pair(before="r 1", after="r 2"), pair(before="r 3"), pair(before="r 4", after="r 5")],
            "2 of 3 readings were taken before and after",
        ),
        (
            [pair(before="r 1", after="r 2", not_permitted="sealed")],
            "0 of 1 readings were taken before and after; 1 reading not made because not permitted",
        ),
    ],
)
def test_readings_before_and_after_are_counted(rows, words):
    assert record._measured([block(readings=tuple(rows))]) == words


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), ""),
        (("inside",), "1 of the 1 promises came as foreseen"),
        (("inside", "outside", "inside", "not_judged"), "2 of 4 promises came as foreseen"),
    ],
)
def test_promises_are_counted_by_what_came(words, told):
    lines = tuple(made(PromiseLine, word=word) for word in words)

    assert record._predicted([block(promises=lines)]) == told


# People, materials, words --------------------------------------------------------------------


def test_minutes_are_summed_by_person_over_all_works():
    first = block(people=(MinutesLine(person="A", minutes=20, typed=0),))
    both = (
        MinutesLine(person="A", minutes=5, typed=5),
        MinutesLine(person="B", minutes=7, typed=0),
    )

    assert record._minutes([first, block(people=both)]) == "A 25\u00a0min; B 7\u00a0min"


@pytest.mark.parametrize(
    ("blocks", "words"),
    [
        ([block(signed_words="It holds.")], "It holds."),
        ([block()], "no reading after the work was asked for"),
        (
            [block(signed_words="It holds."), block(number=2, signed_words="It turns.")],
            "1 · It holds.\n2 · It turns.",
        ),
    ],
)
def test_each_sign_off_is_numbered_only_among_several(blocks, words):
    assert record._judgement(blocks) == words


def material(**said: Any) -> Any:
    blank: dict[str, Any] = {
        "bags": (),
        "removed": (),
        "photos": (),
        "pairs": (),
        "hand_back": None,
    }
    return SimpleNamespace(**blank | {"blocks": (), "findings": {}, "left": ()} | said)


def rows_of(rows: Any) -> dict[str, str]:
    return {row.key: row.value for row in rows}


def test_what_was_used_and_put_in_is_told_once_each():
    glue = MaterialLine(name="hide glue", amount="", lot="lot 12", glue="")
    rosin = MaterialLine(name="rosin", amount="", lot="", glue="")
    cleat, peg = (
        made(NewPartLine, description=name, marking=marking)
        for name, marking in (("cleat", "dated"), ("peg", ""))
    )
    both = block(materials=(glue, rosin, glue), new_parts=(cleat, peg), climate="18 °C")

    told = rows_of(record.record_rows(material(blocks=(both, block(climate="18 °C"), block()))))

    assert told["materials"] == "hide glue (lot 12); rosin"
    assert told["new_parts"] == "cleat: dated; peg: not marked"
    assert told["climate"] == "18 °C"


def test_a_record_without_anything_says_what_there_was_not():
    told = rows_of(record.record_rows(material(blocks=(block(),))))

    assert {told[key] for key in ("removed_register", "evidence", "measurements", "predicted")} == {
        "nothing was taken off",
        "nothing old was replaced",
        "none was asked for",
        "nothing was foreseen in figures",
    }
    assert told["pictures"] == "0 photos; 0 pairs of photos before and after"


def test_strings_stand_in_no_register_of_evidence():
    bags = tuple(SimpleNamespace(bag=f"2026-001/{n}", is_consumable=n == 2) for n in (1, 2, 3))
    removed = tuple(
        SimpleNamespace(get_fate_display=lambda: "kept", is_consumable=n == 2) for n in (1, 2, 3)
    )

    told = material(bags=bags, removed=removed)

    assert record._register(told) == "bags 2026-001/1, 2026-001/3, listed below"
    assert record._evidence(told) == "2 × kept"


@pytest.mark.parametrize(
    ("findings", "left", "emergency", "words"),
    [
        (3, 1, (), "2 of 3 findings were treated; nothing was done that was not agreed"),
        (
            1,
            0,
            (1, 3),
            "1 of 1 findings was treated; done before the owner could be asked: work 1, 3",
        ),
    ],
)
def test_what_was_treated_and_what_was_not_asked_for(findings, left, emergency, words):
    blocks = tuple(block(number=n, is_emergency=n in emergency) for n in (1, 2, 3))
    said = material(findings=dict.fromkeys(range(findings)), left=("x",) * left, blocks=blocks)

    assert before._minimum(said) == words


@pytest.mark.parametrize(
    ("undoing", "told"),
    [("Reversible. With warm water.", "reversible"), ("It stays.", "It stays.")],
)
def test_the_grade_stands_alone_unless_it_says_too_much(undoing, told):
    assert before._grade(block(grade="reversible", undoing=undoing)) == told
