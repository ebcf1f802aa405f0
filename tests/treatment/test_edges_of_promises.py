"""Where a promise turns: what is predicted, and how surely a change is known."""

from __future__ import annotations

from typing import Any

import pytest

from repairs.readings.models import Prescription, Result, Verdict
from repairs.readings.promises import Promise, expected_of, promised, promises
from repairs.readings.show import FigureRow
from repairs.treatment.predicted import _outcome


def figure(raw: float, raw_u: float | None) -> FigureRow:
    words = dict.fromkeys(
        ("key", "label", "value", "u", "limit", "source", "word", "word_label", "sign", "unit"), ""
    )
    return FigureRow(**words, raw=raw, raw_u=raw_u, digits=1)


@pytest.mark.parametrize(
    ("done", "expected", "expected_u"),
    [(None, -3.0, 0.4), (0.2, -1.5, 0.2), (0.0, 0.0, 0.0), (-0.4, 3.0, 0.4)],
)
def test_a_promise_of_minus_3_for_0_4_mm_grows_with_what_was_done(done, expected, expected_u):
    told = Prescription(pk=7, amount=0.4)
    given = {} if done is None else {7: done}

    outcome = _outcome(
        Promise(told, "ecc_mm", -3.0, 0.4, "mm"), figure(5, 0.3), figure(2, 0.4), given, Result()
    )

    assert outcome.expected == pytest.approx(expected)
    assert str(outcome.expected) != "-0.0"
    assert outcome.expected_u == pytest.approx(expected_u)
    assert outcome.got == pytest.approx(-3.0)
    assert outcome.got_u == pytest.approx(0.5)


@pytest.mark.parametrize(("before_u", "after_u"), [(None, 0.4), (0.3, None), (None, None)])
def test_a_change_is_as_sure_as_both_its_readings_or_nothing_is_said(before_u, after_u):
    promise = Promise(Prescription(pk=7, amount=0.4), "ecc_mm", -3.0, None, "mm")

    outcome = _outcome(promise, figure(5, before_u), figure(2, after_u), {}, Result())

    assert (outcome.got_u, outcome.expected_u) == (None, None)


class _Rows(list):
    def all(self) -> list[Any]:
        return list(self)


class _Told:
    """A result as far as promises look at it."""

    output = {"strings": [{"name": "first", "basis": "as_is"}, {"name": "second", "basis": "x"}]}
    verdicts = _Rows([Verdict(figure="nut_error_mm:2", value=0.7)])

    def __init__(self, *rows: Prescription) -> None:
        self.prescriptions = _Rows(rows)


@pytest.mark.parametrize(
    ("row", "wanted"),
    [
        (Prescription(code="wheel.shift", amount=0.3, u=0.02), ("ecc_mm", -0.3, 0.02)),
        (Prescription(code="wheel.shift", amount=-0.3), ("ecc_mm", -0.3, None)),
        (Prescription(code="wheel.shift", amount=0), None),
        (Prescription(code="wheel.shift", amount=None), None),
        (
            Prescription(code="keys.move_nut", amount=0.7, target="second"),
            ("nut_error_mm:2", -0.7, None),
        ),
        (Prescription(code="keys.move_bridge", amount=0.7, target="second"), None),
        (Prescription(code="keys.move_nut", amount=0.7, target="third"), None),
        (
            Prescription(
                code="keys.move", amount=-0.5, u=0.1, target="first, 12", details={"cents": 4}
            ),
            ("off_cents:1.12", -4, pytest.approx(0.8)),
        ),
        (Prescription(code="keys.move", amount=-0.5, target="first, 12", details={}), None),
        (Prescription(code="keys.move", amount=1, target="x, 12", details={"cents": 4}), None),
        (Prescription(code="rim.turn", amount=1), None),
        (Prescription(code="wheel.cut", amount=0.2, u=0.01), ("tir_mm", -0.2, 0.01)),
    ],
)
def test_what_a_prescription_promises(row, wanted):
    told: Any = _Told(row)

    found = [(one.figure, one.change, one.u) for one in promises(told)]

    assert found == ([] if wanted is None else [wanted])


@pytest.mark.parametrize(
    ("code", "done", "after"),
    [
        # A rim moved by half is off by half; moved too far it is off again, never by less than
        # nought.
        ("wheel.shift", 0.05, 0.05),
        ("wheel.shift", 0.10, 0.0),
        ("wheel.shift", 0.14, 0.04),
        # One cut too deep is only smaller.
        ("wheel.cut", 0.06, 0.04),
        ("wheel.cut", 0.15, 0.0),
    ],
)
def test_nothing_is_promised_below_nought(code, done, after):
    row = Prescription(code=code, amount=0.1, u=0.01)

    (promise,) = promised([row], {}, {"ecc_mm": 0.1, "tir_mm": 0.1})

    assert 0.1 + expected_of(promise, done)[0] == pytest.approx(after)


@pytest.mark.parametrize("code", ["wheel.shift", "wheel.cut"])
@pytest.mark.parametrize("was", [0.0, 0.004, 0.1])
@pytest.mark.parametrize("told", [0.004, 0.1, 0.13])
@pytest.mark.parametrize("done", [None, 0.0, 0.004, 0.1, 0.5, -0.05])
def test_no_eccentricity_and_no_run_out_is_ever_promised_to_be_negative(code, was, told, done):
    """A prescription may ask for a hair more than the figure that was read: by another fit."""
    row = Prescription(code=code, amount=told, u=0.01)

    (promise,) = promised([row], {}, {"ecc_mm": was, "tir_mm": was})
    change, u = expected_of(promise, done)

    assert was + change >= 0
    assert u is not None
    assert u >= 0
