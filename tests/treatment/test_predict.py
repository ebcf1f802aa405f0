"""What a prescription promises and what the after-reading shows, worked by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from django.utils import timezone

from repairs.cases.models import Case
from repairs.readings.models import Reading
from repairs.readings.promises import promises
from repairs.treatment.models import Intervention
from repairs.treatment.outcome_models import Achieved
from repairs.treatment.signing import found_outcomes
from tests import factories
from tests.readings import samples
from tests.treatment.promising import MOVE_MM, begun, done, told, tuned


def turned(case: Case, ecc: float, *, by: Any, phase: str = "before", **fields: Any) -> Reading:
    words = samples.wheel(samples.wheel_rows(ecc=ecc))
    return samples.reading(case, by=by, words=words, phase=phase, **fields)


def kept(work: Intervention, by: Any) -> Achieved:
    """Sign the work off and return the one row of predicted against achieved."""
    samples.reading(work.case, by=by, gauge="action", phase="before")
    samples.reading(work.case, by=by, gauge="action", phase="after")
    factories.signed_off(factories.ticked(work, by=by), by=by)
    return work.achieved.get(figure__startswith="off_cents")


def test_a_key_2_9_cents_sharp_is_promised_a_move_of_0_31_mm(case, armand):
    before = tuned(case, "2,9", by=armand)

    (promise,) = promises(samples.result_of(before))

    assert promise.prescription.code == "keys.move"
    assert promise.prescription.amount == pytest.approx(MOVE_MM, abs=0.0005)
    assert (promise.figure, promise.unit) == ("off_cents:1.12", "cents")
    assert promise.change == pytest.approx(-2.9)


def test_2_9_cents_were_promised_and_2_6_came(case, refit, armand):
    tuned(case, "0,3", by=armand, phase="after")

    row = kept(refit, armand)

    assert row.expected == pytest.approx(-2.9, abs=0.05)
    assert row.got == pytest.approx(-2.6, abs=0.05)
    assert (row.unit, row.done, row.done_unit) == ("cents", None, "mm")
    (u_before, u_after) = (
        samples.verdict_of(one, "off_cents:1.12").u or 0.0
        for one in case.readings.filter(gauge="correction")
    )
    assert row.got_u == pytest.approx(math.hypot(u_before, u_after))
    assert row.label == "first chanterelle, key 12"
    assert row.after.reading.phase == "after"


def test_a_move_that_was_half_followed_promises_half(case, refit, armand):
    move = told(case.readings.get(), "keys.move")
    done(refit, move, MOVE_MM / 2, by=armand)
    tuned(case, "1,4", by=armand, phase="after")

    row = kept(refit, armand)

    assert row.done == pytest.approx(-0.155)
    assert row.expected == pytest.approx(-1.45, abs=0.02)
    assert row.got == pytest.approx(-1.5, abs=0.05)


def test_a_move_that_was_not_followed_promises_nothing(case, refit, armand):
    done(refit, told(case.readings.get(), "keys.move"), 0.0, by=armand)
    tuned(case, "2,9", by=armand, phase="after")

    row = kept(refit, armand)

    assert (row.expected, math.copysign(1, row.expected)) == (0.0, 1.0)
    assert row.got == pytest.approx(0.0, abs=0.01)


def test_a_move_the_wrong_way_is_expected_to_make_it_worse(case, refit, armand):
    done(refit, told(case.readings.get(), "keys.move"), -MOVE_MM, by=armand)
    tuned(case, "5,8", by=armand, phase="after")

    row = kept(refit, armand)

    assert row.expected == pytest.approx(2.9, abs=0.05)
    assert row.got == pytest.approx(2.9, abs=0.05)


def test_the_last_word_on_how_far_it_was_followed_counts(case, refit, armand):
    move = told(case.readings.get(), "keys.move")
    for amount in (-0.1, -0.155):
        done(refit, move, amount, by=armand)
    tuned(case, "1,4", by=armand, phase="after")

    assert kept(refit, armand).done == pytest.approx(-0.155)


def test_a_rim_shifted_as_told_is_promised_to_run_true(case, armand):
    """0.10 mm off its axle: shifted by 0.10 mm nothing is left. Afterwards it is 0.02 mm off."""
    before = turned(case, 10.0, by=armand)
    work = begun(case, "wheel_recentring", by=armand)
    turned(case, 2.0, by=armand, phase="after")

    (outcome,) = found_outcomes(work)

    assert told(before, "wheel.shift").amount == pytest.approx(0.10, abs=0.005)
    assert outcome.expected == pytest.approx(-0.10, abs=0.005)
    assert outcome.got == pytest.approx(-0.08, abs=0.005)
    assert (outcome.label, outcome.unit) == ("eccentricity", "mm")


def test_a_rim_shifted_by_half_is_promised_half(case, armand):
    before = turned(case, 10.0, by=armand)
    work = begun(case, "wheel_recentring", by=armand)
    done(work, told(before, "wheel.shift"), 0.05, by=armand)
    turned(case, 5.0, by=armand, phase="after")

    (outcome,) = found_outcomes(work)

    assert outcome.expected == pytest.approx(-0.05, abs=0.003)
    assert outcome.got == pytest.approx(-0.05, abs=0.003)


def bridge_keys(error_mm: float) -> dict[int, str]:
    """Cents of each key when the bridge stands that much too far out, by geometry.

    A string of L sounds x mm from the bridge at a key, with the bridge e further out x + e, and
    the open string L + e: 1200·log2 of (x + e)/x over (L + e)/L is what the key is flat.
    """
    found = {}
    for key in range(1, 16):
        x = 345 * 2 ** (-key / 12)
        flat = 1200 * (math.log2((x + error_mm) / x) - math.log2((345 + error_mm) / 345))
        found[key] = f"{-flat:.2f}"
    return found


def test_a_bridge_set_as_told_takes_its_error_away(case, armand):
    words = samples.keys(bridge_keys(1.5), temperament="equal", u_cents="0,2")
    samples.reading(case, by=armand, gauge="correction", words=words)
    work = begun(case, "bridge_fitting", by=armand)
    words = samples.keys(bridge_keys(0.3), temperament="equal", u_cents="0,2")
    samples.reading(case, by=armand, gauge="correction", words=words, phase="after")

    (outcome,) = found_outcomes(work)

    assert outcome.promise.figure == "scale_error_mm:1"
    assert outcome.expected == pytest.approx(-1.5, abs=0.1)
    assert outcome.got == pytest.approx(-1.2, abs=0.1)


def test_tangents_that_wait_for_the_bridge_promise_nothing_yet(case, armand):
    words = samples.keys(bridge_keys(1.5) | {4: "9"}, temperament="equal", u_cents="0,2")
    before = samples.reading(case, by=armand, gauge="correction", words=words)

    codes = {promise.prescription.code for promise in promises(samples.result_of(before))}

    assert codes == {"keys.move_bridge"}


# Which readings are before and which after -------------------------------------------------------


def test_readings_typed_in_the_same_minute_keep_their_order(case, armand):
    """Moments are typed to the minute: the number tells which came first."""
    now = timezone.now()
    minute = now.replace(second=0, microsecond=0)
    tuned(case, "2,9", by=armand, taken_at=minute)
    case.instrument.parts.update(originality="later_replacement")
    agreed = factories.agreed_work(case, "tangent_refit", by=armand)
    work = factories.begun_work(agreed, by=armand, at=now)
    tuned(case, "0,3", by=armand, phase="after", taken_at=minute)

    (outcome,) = found_outcomes(work)

    assert outcome.got == pytest.approx(-2.6, abs=0.05)


def test_what_was_read_after_earlier_work_is_what_the_next_work_begins_with(case, refit, armand):
    """Else the second work would be measured against promises that the first one kept."""
    tuned(case, "3,4", by=armand, phase="after")
    kept(refit, armand)
    second = begun(case, "tangent_refit", by=armand)
    tuned(case, "0,1", by=armand, phase="after")

    (outcome,) = found_outcomes(second)

    assert outcome.expected == pytest.approx(-3.4, abs=0.05)
    assert outcome.got == pytest.approx(-3.3, abs=0.05)


@pytest.mark.parametrize(
    "change",
    [
        {"withdrawn_at": timezone.now()},
        {"phase": "follow_up"},
        {"not_permitted": "not to be played"},
    ],
)
def test_without_a_reading_after_the_work_nothing_is_told(case, refit, armand, change):
    after = tuned(case, "0,3", by=armand, phase="after")
    Reading.objects.filter(pk=after.pk).update(**change)

    assert found_outcomes(refit) == []


def test_a_reading_of_another_string_is_not_laid_beside_it(case, refit, armand):
    tuned(case, "0,3", by=armand, phase="after", subject="second fiddle")

    assert found_outcomes(refit) == []
