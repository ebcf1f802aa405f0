"""What a prescription promises, and what the reading after the work says of it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from repairs.readings.models import Prescription, Reading, Result
from repairs.readings.show import FigureRow, figure_rows
from repairs.treatment.outcome_models import places_of

TANGENT_CODES = ("keys.turn", "keys.move")
HEIGHT_CODES = ("bow.raise_string", "bow.lower_string")


@dataclass(frozen=True)
class Promise:
    """By how much one figure should change when the prescription is followed to the letter.

    ``was`` is the figure before, where it is a length that nothing makes less than nought: a rim
    moved too far sits off its axle again (``comes_back``), one cut too deep only grows smaller.
    """

    prescription: Prescription
    figure: str
    change: float
    u: float | None
    unit: str
    was: float | None = None
    comes_back: bool = False


@dataclass(frozen=True)
class Outcome:
    """A promise beside the change that was measured. ``expected`` is for what was really done."""

    promise: Promise
    label: str
    done: float | None
    expected: float
    expected_u: float | None
    got: float
    got_u: float | None
    after: Result

    @property
    def unit(self) -> str:
        """The unit of the figure that should change."""
        return self.promise.unit

    @property
    def done_unit(self) -> str:
        """The unit of what was done, which may be another: turns of a tangent, cents of pitch."""
        return self.promise.prescription.unit

    @property
    def places(self) -> int:
        """Places after the point that the unit deserves."""
        return places_of(self.unit)


def promises(result: Result) -> list[Promise]:
    """What the prescriptions of a kept result promise, as ``promised`` has it."""
    figures = {verdict.figure: verdict.value for verdict in result.verdicts.all()}
    return promised(result.prescriptions.all(), result.output, figures)


def promised(
    told: Iterable[Prescription], output: Mapping[str, Any], figures: Mapping[str, float]
) -> list[Promise]:
    """Those lines of a prescription that say by how much a figure will change.

    A tangent moved as told brings its key to the wanted note, a rim shifted as told has no
    eccentricity left, one cut on its axle no run-out, a bridge or nut set as told takes its error
    away: the change is the figure's deviation with its sign turned. A string set to a height as
    told is pressed by the force that goes with it. Tangents that are to be set only after bridge
    or nut promise nothing that one reading could tell apart, and are left out.
    """
    found = (_promise(row, output, figures) for row in told)
    return [one for one in found if one is not None]


def _promise(
    row: Prescription, output: Mapping[str, Any], figures: Mapping[str, float]
) -> Promise | None:
    if row.amount is None or row.amount == 0:
        return None
    if row.code in TANGENT_CODES:
        return _of_tangent(row, output)
    if row.code == "wheel.shift":
        was = figures.get("ecc_mm")
        return Promise(row, "ecc_mm", -abs(row.amount), row.u, "mm", was, comes_back=True)
    if row.code == "wheel.cut":
        # Cut on its axle down to the lowest place, a rim runs true.
        return Promise(row, "tir_mm", -abs(row.amount), row.u, "mm", figures.get("tir_mm"))
    if row.code in HEIGHT_CODES:
        return _of_height(row, figures)
    if row.code in ("keys.move_bridge", "keys.move_nut"):
        place = _place(output, row.target)
        name = "scale_error_mm" if row.code == "keys.move_bridge" else "nut_error_mm"
        if place is None:
            return None
        before = figures.get(f"{name}:{place}")
        return Promise(row, f"{name}:{place}", -before, row.u, "mm") if before else None
    return None


def _of_height(row: Prescription, figures: Mapping[str, float]) -> Promise | None:
    """A string set higher or lower at the bridge as told is pressed by the force that was told."""
    wanted, before = row.details.get("force"), figures.get("force_n")
    if wanted is None or before is None or not row.amount:
        return None
    change = wanted - before
    u = None if row.u is None else abs(change / row.amount) * row.u
    return Promise(row, "force_n", change, u, "N")


def _of_tangent(row: Prescription, output: Mapping[str, Any]) -> Promise | None:
    string, _comma, key = row.target.rpartition(", ")
    place = _place(output, string)
    cents = row.details.get("cents")
    if place is None or not cents or row.amount is None:
        return None
    # The tangent's own error shows only once bridge or nut stand right: one reading before and one
    # after cannot part the two.
    if output["strings"][place - 1]["basis"] == "after_scale":
        return None
    u = None if row.u is None else abs(cents / row.amount) * row.u
    # A flag at its end, or one that is turned for the meeting too, leaves some of it.
    change = row.details.get("left", 0.0) - cents
    return Promise(row, f"off_cents:{place}.{key}", change, u, "cents")


def _place(output: Mapping[str, Any], string: str) -> int | None:
    names = [one["name"] for one in output.get("strings", [])]
    return names.index(string) + 1 if string in names else None


def outcomes(before: Reading, after: Reading, done: Mapping[int, float]) -> Iterator[Outcome]:
    """Each promise of the reading before that the reading after can tell the outcome of.

    ``done`` has, by prescription id, by how much it was really followed; a promise then shrinks
    or grows in that proportion.
    """
    was, now = before.latest, after.latest
    if was is None or now is None:
        return
    old = {row.key: row for row in figure_rows(before)}
    new = {row.key: row for row in figure_rows(after)}
    for promise in promises(was):
        if promise.figure in old and promise.figure in new:
            yield _outcome(promise, old[promise.figure], new[promise.figure], done, now)


def _outcome(
    promise: Promise,
    old: FigureRow,
    new: FigureRow,
    done: Mapping[int, float],
    after: Result,
) -> Outcome:
    amount = done.get(promise.prescription.pk)
    expected, expected_u = expected_of(promise, amount)
    spread = [u for u in (old.raw_u, new.raw_u) if u is not None]
    return Outcome(
        promise=promise,
        label=old.label,
        done=amount,
        expected=expected,
        expected_u=expected_u,
        got=new.raw - old.raw,
        # Two readings, two uncertainties, independent (JCGM 100:2008, 5.1.2); with one of them
        # unknown the difference has none.
        got_u=math.hypot(*spread) if len(spread) == 2 else None,
        after=after,
    )


def expected_of(promise: Promise, done: float | None) -> tuple[float, float | None]:
    """The change to expect, with its uncertainty, when the prescription was followed by ``done``.

    Half a turn of a tangent moves it by half as much: small moves are in proportion.
    """
    told = promise.prescription.amount or 0.0
    share = 1.0 if done is None else done / told
    u = None if promise.u is None else promise.u * abs(share)
    change = promise.change * share + 0.0  # the sum turns -0.0 into 0.0
    if promise.was is None:
        return change, u
    after = promise.was + change
    return (abs(after) if promise.comes_back else max(after, 0.0)) - promise.was, u
