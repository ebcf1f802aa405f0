"""What a prescription promises and what the after-reading shows, worked by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest
from django.utils import timezone

from repairs.cases.models import Case
from repairs.readings.models import Prescription, Reading
from repairs.treatment.models import Intervention
from repairs.treatment.outcome_models import Achieved, MoveDone
from repairs.treatment.parts import follow
from repairs.treatment.predicted import promises
from repairs.treatment.signing import found_outcomes
from tests import factories
from tests.readings import samples

# A key sounds 2.9 cents sharp at the octave of a string of 370 mm. What sounds is 185 mm there, and
# 185 × 2^(−2.9/1200) = 184.690 mm as it stands: the tangent must go 0.310 mm towards the nut.
# Afterwards the key is still 0.3 cents sharp: it came down by 2.6 cents where 2.9 were promised.
OCTAVE = 12
MOVE_MM = -0.310
OTHERS = {1: "0", 3: "0,1", 5: "-0.1", 7: "0", 9: "0,1", 11: "0"}


def tuned(case: Case, cents: str, *, by: Any, phase: str = "before", **fields: Any) -> Reading:
    words = samples.keys(OTHERS | {OCTAVE: cents}, length_mm="370", u_cents="0,2")
    return samples.reading(case, by=by, gauge="correction", words=words, phase=phase, **fields)


def turned(case: Case, ecc: float, *, by: Any, phase: str = "before", **fields: Any) -> Reading:
    words = samples.wheel(samples.wheel_rows(ecc=ecc))
    return samples.reading(case, by=by, words=words, phase=phase, **fields)


def told(reading: Reading, code: str) -> Prescription:
    """The one prescription of that code."""
    return samples.result_of(reading).prescriptions.get(code=code)


def done(work: Intervention, prescription: Prescription, amount: float, *, by: Any) -> None:
    row = MoveDone(intervention=work, prescription=prescription, amount=amount, unit="mm")
    follow(row, by=by, at=timezone.now())


def begun(case: Case, key: str, *, by: Any) -> Intervention:
    """Begun where nothing is old, so that only the figures speak."""
    case.instrument.parts.update(originality="later_replacement")
    return factories.begun_work(factories.agreed_work(case, key, by=by), by=by)


@pytest.fixture
def refit(case, armand) -> Intervention:
    tuned(case, "2,9", by=armand)
    return begun(case, "tangent_refit", by=armand)


def kept(work: Intervention, by: Any) -> Achieved:
    """Sign the work off and return the one row of predicted against achieved."""
    samples.reading(work.case, by=by, gauge="action", phase="before")
    samples.reading(work.case, by=by, gauge="action", phase="after")
    factories.signed_off(factories.ticked(work, by=by), by=by)
    return work.achieved.get()


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


# On the screen -----------------------------------------------------------------------------------


def test_the_promised_move_is_offered_and_can_be_noted_as_it_stands(case, refit, armand, send, see):
    move = told(case.readings.get(), "keys.move")
    place = (case.number, refit.number)
    page = see("work", *place, by=armand)
    shown = page.split(f'id="id_follow_{move.pk}_amount"')[0].rpartition('value="')[2].split('"')[0]

    answer = send("follow", *place, move.pk, by=armand, amount=shown)

    assert answer.status_code == 302
    assert float(shown) == pytest.approx(MOVE_MM, abs=0.0005)
    assert refit.moves_done.get().amount == pytest.approx(MOVE_MM, abs=0.0005)
    assert "done: −0.3096 mm" in see("work", *place, by=armand)


@pytest.mark.parametrize("typed", ["", "some", "1000", "0,00001"])
def test_a_move_that_cannot_be_is_refused_and_stays_as_typed(case, refit, armand, send, typed):
    move = told(case.readings.get(), "keys.move")

    answer = send("follow", case.number, refit.number, move.pk, by=armand, amount=typed)

    page = answer.content.decode()
    assert answer.status_code == 422
    assert f'id="id_follow_{move.pk}_amount_problem"' in page
    assert not typed or f'value="{typed}"' in page
    assert not refit.moves_done.exists()


def test_a_prescription_of_another_case_is_not_followed_here(case, refit, vielle, armand, send):
    other = factories.case(vielle, by=armand)
    move = told(tuned(other, "2,9", by=armand), "keys.move")

    answer = send("follow", case.number, refit.number, move.pk, by=armand, amount="1")

    assert answer.status_code == 404


@pytest.mark.parametrize(
    ("person", "words"),
    [("armand", ("-2.9 cents", "-2.6 cents")), ("french", ("−2,9 cents", "−2,6 cents"))],
)
def test_the_proof_lays_what_was_promised_beside_what_came(case, refit, armand, see, person, words):
    reader = armand if person == "armand" else factories.person("lucie", "luthier", "fr")
    tuned(case, "0,3", by=armand, phase="after")

    page = see("proof", case.number, refit.number, by=reader).replace("−", "-")

    assert all(one.replace("−", "-") in page for one in words)


def test_the_proof_does_not_say_that_a_prescription_was_followed_when_nobody_said_so(
    case, refit, armand, see
):
    tuned(case, "0,3", by=armand, phase="after")
    silent = see("proof", case.number, refit.number, by=armand)
    done(refit, told(case.readings.get(phase="before"), "keys.move"), MOVE_MM, by=armand)

    noted = see("proof", case.number, refit.number, by=armand)

    assert "not noted" in silent
    assert "as told" not in silent
    assert "not noted" not in noted
