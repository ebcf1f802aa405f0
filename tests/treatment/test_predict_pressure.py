"""What a string set higher at the bridge promises: the wheel's force, and what came of it."""

from __future__ import annotations

import pytest

from repairs.readings.promises import promises
from repairs.treatment.predicted import outcomes
from tests.readings import samples

pytestmark = pytest.mark.django_db


def window(case, lift: str, *, by, heard: bool = True, **fields):
    words = samples.bowing() | {"lift_mm": lift}
    if not heard:
        words = {key: "" if key.startswith("sound") else said for key, said in words.items()}
    return samples.reading(case, by=by, gauge="bowing_window", words=words, **fields)


def test_a_string_raised_as_told_is_pressed_by_the_force_that_was_told(case, armand):
    # The force goes with the lift (2.857 N a millimetre at 66.3 N, 345 mm, 25 mm): from 1.2 mm to
    # 1.2·2^(−8/12) = 0.756 mm it falls by 1.269 N.
    before = window(case, "1,2", by=armand)
    after = window(case, "0,76", by=armand, heard=False, phase="after")

    (outcome,) = outcomes(before, after, {})

    assert outcome.promise.figure == "force_n"
    assert outcome.promise.change == pytest.approx(-1.269, abs=0.003)
    assert outcome.got == pytest.approx(-0.44 * 2.857, abs=0.005)
    assert (outcome.unit, outcome.done_unit) == ("N", "mm")


def test_half_of_the_way_promises_half_of_the_change(case, armand):
    before = window(case, "1,2", by=armand)
    after = window(case, "0,98", by=armand, heard=False, phase="after")
    (promise,) = promises(samples.result_of(before))
    told = promise.prescription.amount
    assert told is not None

    (outcome,) = outcomes(before, after, {promise.prescription.pk: told / 2})

    assert outcome.expected == pytest.approx(promise.change / 2)


def test_a_string_that_serves_promises_nothing(case, armand):
    before = window(case, "0,5", by=armand, heard=False)

    assert promises(samples.result_of(before)) == []
