"""A key read as sharp, what is told to be done about it, and work begun to do it."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from repairs.cases.models import Case
from repairs.readings.models import Prescription, Reading
from repairs.treatment.models import Intervention
from repairs.treatment.outcome_models import MoveDone
from repairs.treatment.parts import follow
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
