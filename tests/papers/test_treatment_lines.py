"""Single lines of the treatment report: figures with their signs, steps, days, things."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest

from repairs.gauges.base.verdict import Limit
from repairs.papers.blocks.treatment_document import FigureChange
from repairs.papers.treatment import readings, supplies, work
from repairs.readings.models import Prescription
from repairs.readings.show import ChangeRow, FigureRow
from repairs.treatment.models import StepNote
from repairs.treatment.outcome_models import Achieved
from repairs.treatment.part_models import MaterialUse, NewPart


def achieved(expected: float, got: float, u: float | None = 0.3, got_u: float | None = 0.4) -> Any:
    moved = Prescription(code="wheel.shift")
    return Achieved(
        prescription=moved, expected=expected, expected_u=u, got=got, got_u=got_u, unit="mm"
    )


@pytest.mark.parametrize(
    ("row", "word"),
    [
        (achieved(-3.0, -2.0), "inside"),  # by hand: twice hypot(0.3, 0.4) is 1
        (achieved(-3.0, -1.999), "outside"),
        (achieved(-3.0, -4.001), "outside"),
        (achieved(0.0, 1.0), "inside"),
        (achieved(-3.0, -3.0, u=None), "not_judged"),
        (achieved(-3.0, -3.0, got_u=None), "not_judged"),
    ],
)
def test_a_promise_is_kept_within_twice_the_joint_uncertainty(row, word):
    said, short = readings._kept(row)

    assert said == word
    assert short == pytest.approx(abs(row.expected) - abs(row.got) if row.expected else row.got)


@pytest.mark.parametrize(
    ("value", "u", "unit", "places", "words"),
    [
        (-12.46, 0.26, "cents", 1, "−12.5 ± 0.3\u00a0cents"),
        (0.31, None, "mm", 2, "0.31\u00a0mm"),
        (0.31, None, "", 2, "0.31"),
    ],
)
def test_a_value_is_said_with_its_uncertainty_and_unit(value, u, unit, places, words):
    assert readings._with_u(value, u, unit, places) == words


@pytest.mark.parametrize(
    ("is_sure", "words"),
    [
        (None, "uncertainty not known"),
        (True, "more than its uncertainty"),
        (False, "within its uncertainty"),
    ],
)
def test_a_change_says_how_sure_it_is(is_sure, words):
    assert readings.sure_words(is_sure) == words


@pytest.mark.parametrize(
    ("key", "word", "sure", "is_said"),
    [
        ("off_cents:1.4", "inside", "within its uncertainty", False),
        ("off_cents:1.4", "inside", "more than its uncertainty", True),
        ("off_cents:1.4", "outside", "", True),
        ("ecc_mm", "inside", "", True),
    ],
)
def test_one_of_many_figures_is_said_only_when_there_is_something_to_say(key, word, sure, is_said):
    blank = dict.fromkeys(
        ("label", "before", "after", "change", "limit", "source", "word_label", "sign"), ""
    )

    assert readings._is_said(key, FigureChange(**blank, word=word, sure=sure)) is is_said


def figure(u: str = "0.2", **said: Any) -> FigureRow:
    words = dict.fromkeys(("key", "word_label", "sign", "unit"), "")
    own = {"label": "run-out", "value": "2.0 mm", "limit": "at most 3 mm", "source": "own"}
    return FigureRow(
        **words | own | {"u": u, "word": "inside"} | said, raw=2.0, raw_u=0.2, digits=1
    )


def test_a_figure_before_the_work_stands_before_and_one_after_it_after():
    first = readings._figure(figure(), None, None, True)
    last = readings._figure(figure(u=""), None, None, False)

    assert (first.before, first.after) == ("2.0 mm ± 0.2", "")
    assert (last.before, last.after) == ("", "2.0 mm")
    assert (last.change, last.sure, last.limit, last.source) == ("", "", "at most 3 mm", "own")


def test_a_limit_of_the_procedure_stands_in_the_place_of_the_gauges():
    change = ChangeRow(
        key="tir_mm",
        label="run-out",
        before="5.0 mm",
        after="2.0 mm",
        change="−3.0",
        raw=-3.0,
        is_sure=True,
    )

    row = readings._figure(figure(), change, Limit(None, 1.0, "mm", "trade_notes"), False)

    assert (row.before, row.after, row.change) == ("5.0 mm", "2.0 mm ± 0.2", "−3.0")
    assert (row.word, row.sure) == ("outside", "more than its uncertainty")
    assert row.limit != "at most 3 mm"
    assert row.source != "own"


# Steps, days, things -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("note", "told"),
    [
        (None, ("○", "not noted", "")),
        (StepNote(state="left_out", words="dry"), ("✕", "left out", "dry")),
        (StepNote(state="otherwise", words="twice"), ("◐", "done otherwise", "twice")),
        (StepNote(state="done"), ("●", "done", "")),
    ],
)
def test_a_step_is_told_by_its_sign_and_its_last_word(note, told):
    line = work._step("warm the joint", note)

    assert line.label == "Warm the joint"
    assert (line.sign, line.state, line.words) == told


@pytest.mark.parametrize(
    ("ended", "words"),
    [(22, "22 Nov 2026"), (24, "22 Nov 2026 to 24 Nov 2026"), (None, "22 Nov 2026 to 25 Nov 2026")],
)
def test_a_work_is_told_by_its_days(monkeypatch, ended, words):
    monkeypatch.setattr(work, "day_words", lambda day: f"{day.day} Nov 2026")
    days = {n: dt.datetime(2026, 11, n, 9, tzinfo=dt.UTC) for n in (22, 24, 25)}
    row: Any = SimpleNamespace(
        opened_at=days[22],
        ended_at=days[ended] if ended else None,
        sign_off=SimpleNamespace(at=days[25]),
    )

    assert work._days(row) == words


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("after.wheel", "Wheel, dial readings, after work"),
        ("after.no_such", ""),
        ("photos.during", "Photo, during work"),
        ("photos.never", ""),
        ("asks.climate", "Climate of the room"),
        ("asks.glue_temperature", "Temperature of the glue"),
        ("steps", "Steps with what really happened"),
        ("other.wheel", ""),
    ],
)
def test_a_line_of_the_proof_is_named_by_its_key(key, words):
    assert work.proof_label(key) == words


def test_a_line_of_the_proof_keeps_the_label_of_a_key_that_is_no_longer_known():
    line = work._proof(
        {"key": "gone", "label": "Moon", "state": "fine", "readings": [2, 3], "reason": "full"}
    )

    assert (line.label, line.readings, line.reason) == ("Moon", (2, 3), "full")
    bare = work._proof({"key": "steps", "label": "x", "state": "missing", "readings": None})
    assert (bare.label, bare.readings, bare.reason) == (
        "Steps with what really happened",
        (),
        "",
    )


def test_what_was_struck_again_is_not_told():
    rows = [MaterialUse(name="glue"), MaterialUse(name="x", withdrawn_at=dt.datetime.now(dt.UTC))]

    assert work.standing(rows) == rows[:1]


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (
            {"amount": Decimal("15"), "unit": "g", "glue_t_c": Decimal("58.5")},
            ("15\u00a0g", "58.5\u00a0°C"),
        ),
        ({"amount": Decimal("2")}, ("2", "")),
        ({"unit": "g"}, ("", "")),
        ({"amount": Decimal("0"), "glue_t_c": Decimal("0")}, ("0", "0\u00a0°C")),
    ],
)
def test_a_material_is_told_with_its_amount_and_heat(said, told):
    line = supplies.material_line(MaterialUse(name="glue", **said))

    assert (line.amount.strip("\u00a0"), line.glue) == told


@pytest.mark.parametrize(
    ("origin", "supplier", "words"),
    [("bought", "", "bought"), ("owner", "Lot 3", "brought by the owner, Lot 3")],
)
def test_a_new_part_says_from_where_it_came(origin, supplier, words):
    row = NewPart(description="peg", material="boxwood", origin=origin, supplier=supplier)

    line = supplies.new_part_line(row, {})

    assert (line.origin, line.part) == (words, "")


def test_a_part_that_is_known_is_named_on_new_part_and_bag():
    parts: Any = {7: SimpleNamespace(label=lambda: "peg 2", originality_label="original")}
    said = {"description": "peg", "material": "boxwood", "origin": "bought"}
    at = dt.datetime(2026, 11, 22, 9, tzinfo=dt.UTC)
    piece: Any = SimpleNamespace(
        part_id=7,
        bag="1/1",
        description="old peg",
        position="treble side",
        removed_at=at,
        removed_by="Armand",
        get_fate_display=lambda: "kept",
        fate_words="",
        photo=None,
        is_consumable=False,
    )

    assert supplies.new_part_line(NewPart(part_id=7, **said), parts).part == "peg 2"
    assert supplies.new_part_line(NewPart(part_id=8, **said), parts).part == ""
    line = supplies.bag_line(piece, parts)
    assert (line.part, line.originality, line.photo) == ("peg 2", "original", 0)
    piece.part_id, piece.photo = None, SimpleNamespace(number=4)
    line = supplies.bag_line(piece, parts)
    assert (line.part, line.originality, line.photo) == ("", "", 4)
