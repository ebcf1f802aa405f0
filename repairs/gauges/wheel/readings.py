"""Dial readings as they were typed, checked and put in the order of one turn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from repairs.gauges.base.arrays import Floats, np
from repairs.gauges.base.checks import between, number, numbers, positive
from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.given import HOUSE, absent, choice, only, rows
from repairs.gauges.base.plain import maybe, optional
from repairs.gauges.base.registry import Plain
from repairs.gauges.wheel.decision import HOUSE_RULE, Done, Rule
from repairs.gauges.wheel.force import DIAMETERS_MM, MOST_LIFT_MM, StringOnWheel, read_string
from repairs.gauges.wheel.turns import Repeat, averaged

VERSION = "wheel_readings 2"

# Eight places are what the harmonics need; seventy-two are every 5°, finer than a finger can index.
LEAST_PLACES, MOST_PLACES = 8, 72
# Mean, eccentricity with its direction, and one reading that could contradict them.
LEAST_PRESENT = 4
MOST_READING_MM = 30.0  # the travel of the longest dial gauges
MOST_RANGE_MM = 5.0  # more in one turn is a slipped foot, or hundredths typed as millimetres
# A dial that is off by a tenth says nothing about limits of half of that.
MOST_SIGMA_MM = 0.1
MOST_U_DIAMETER_MM = 2.0
MOST_ANGLE_DEG = 720.0
# At a radius of 85 mm this is 0.15 mm of rim, less than the tip of a dial covers.
SAME_PLACE_DEG = 0.1
SIGMA_MM = 0.005  # common practice: a dial of 0.01 mm read to half a division
U_MEAN_DIAMETER_MM = 0.02  # common practice: a calliper of 0.02 mm
# What an angle is: the place's own mark, or how far the crank was turned under a fixed dial. Turned
# forward, the places pass backwards: after 60° the dial stands on 300°.
TURNED = ("places", "forward", "backward")
MOST_PLAY_MM = 2.0
FORM_LIMITS_MM = (0.0, 1000.0)  # a limit of the house, whatever it chose
RIMS = ("original", "old_replacement", "later_replacement", "unknown")
MOST_STRINGS = 12

INPUTS = {
    "readings_mm": "8 to 72 dial readings in millimetres; null where none was taken",
    "second_mm": "optional: the second turn, at the same places",
    "third_mm": "optional: the third turn, at the same places",
    "angles_deg": "optional: angle of each reading; even steps when left out",
    "turned": f"optional: what the angles are: {', '.join(TURNED)}; places when left out",
    "start_deg": "optional: added to all angles; 0 when left out",
    "sign": "optional: 1 when the dial grows with the distance from the axle, else -1",
    "mean_diameter_mm": "mean diameter of the rim in millimetres",
    "u_mean_diameter_mm": "optional: its standard uncertainty; 0.02 when left out",
    "gauge_sigma_mm": "optional: standard deviation of one reading; 0.005 when left out",
    "axial_mm": "optional: readings of the side face at the same angles",
    "lift_mm": "optional: lift of a string at the wheel, for the swelling",
    "strings": "optional: list of tension_n, length_mm, from_bridge_mm, lift_mm and name",
    "rim": f"optional: {', '.join(RIMS)}; unknown when left out",
    "cleaned": "optional: true when the rim was freed of rosin before this reading",
    "acclimatised": "optional: true when it had lain at its target humidity until it settled",
    "recentred": "optional: true when seat and centre were set as well as they go",
    "leave": "optional: true when the owner's leave to cut this rim is on record",
    "push_pull_mm": "optional: play of the axle in its bearing, pushed and pulled at the dial",
    "form_limit_mm": "optional: the limit of the roundness that counts; 0.05 when left out",
    "leave_tir_mm": "optional: the house's own limit to leave the wheel alone",
    "ratio": "optional: the house's own ratio to do one thing only",
}
MORE_TURNS = ("second_mm", "third_mm")
DEEDS = ("cleaned", "acclimatised", "recentred", "leave")
KEPT_BESIDE = ("id", "kind", "gauge_sign", "expected", "true_profile", "note")
STRING_INPUTS = ("name", "tension_n", "length_mm", "from_bridge_mm", "lift_mm")


@dataclass(frozen=True, slots=True)
class Side:
    """Readings of the side face, shape (M,), in the order of one turn, and the noise of one."""

    angles_deg: Floats
    readings_mm: Floats
    sigma_mm: float


@dataclass(frozen=True, slots=True)
class WheelReadings:
    """One turn, ready to be measured.

    ``angles_deg`` and ``readings_mm`` have shape (N,), hold no gap, stand in the order of one turn
    from 0°, and grow with the distance from the axle. ``missing`` counts the places left out.
    """

    angles_deg: Floats
    readings_mm: Floats
    missing: int
    mean_diameter_mm: float
    u_mean_diameter_mm: float
    sigma_mm: float
    sigma_assumed: bool
    side: Side | None
    lift_mm: float | None
    strings: tuple[tuple[str, StringOnWheel], ...]
    rim: str
    rule: Rule
    repeat: Repeat | None
    done: Done

    @property
    def widest_gap_deg(self) -> float:
        """Widest arc between two neighbouring readings."""
        around = np.append(self.angles_deg, self.angles_deg[0] + 360)
        return float(np.diff(around).max())


def read(given: Plain) -> WheelReadings:
    """Return checked readings from plain data, as `INPUTS` describes them.

    Raises GaugeInputError that names field and row; rows count from 1 as typed. What is kept beside
    a case (`KEPT_BESIDE`) is not looked at.
    """
    only(given, (*INPUTS, *KEPT_BESIDE))
    listed = _listed("readings_mm", given.get("readings_mm"))
    angles = _angles(given, len(listed))
    kept, values = _present("readings_mm", listed)
    more = [_more(name, given[name], listed) for name in MORE_TURNS if given.get(name) is not None]
    repeat = None
    if more:
        values, repeat = averaged(np.vstack([values, *more]))
    places, turn = _one_turn(angles, kept, values * _sign(given))
    sigma = optional(given, "gauge_sigma_mm", SIGMA_MM, (0.0, MOST_SIGMA_MM))
    sigma = positive("gauge_sigma_mm", sigma, most=MOST_SIGMA_MM)
    return WheelReadings(
        angles_deg=places,
        readings_mm=turn,
        missing=len(listed) - len(kept),
        mean_diameter_mm=between("mean_diameter_mm", given.get("mean_diameter_mm"), *DIAMETERS_MM),
        u_mean_diameter_mm=optional(
            given, "u_mean_diameter_mm", U_MEAN_DIAMETER_MM, (0.0, MOST_U_DIAMETER_MM)
        ),
        sigma_mm=sigma if repeat is None else repeat.noise_mm,
        sigma_assumed=repeat is None and absent(given, "gauge_sigma_mm"),
        side=None if given.get("axial_mm") is None else _side(given["axial_mm"], angles, sigma),
        lift_mm=None if absent(given, "lift_mm") else _lift(given["lift_mm"]),
        strings=() if given.get("strings") is None else _strings(given["strings"]),
        rim="unknown" if absent(given, "rim") else choice("rim", given["rim"], RIMS),
        rule=_rule(given),
        repeat=repeat,
        done=_done(given),
    )


def _more(field: str, values: Any, first: list[Any]) -> Floats:
    """Another turn: read where the first one was, and nowhere else."""
    listed = _listed(field, values)
    if len(listed) != len(first):
        raise GaugeInputError(
            "unequal",
            field=field,
            row=min(len(listed), len(first)) + 1,
            other="readings_mm",
            value=len(listed),
            limit=len(first),
        )
    for row, (one, other) in enumerate(zip(first, listed, strict=True), 1):
        if _is_blank(one) != _is_blank(other):
            blank, full = (field, "readings_mm") if _is_blank(other) else ("readings_mm", field)
            raise GaugeInputError("other_turn", field=blank, row=row, other=full)
    return _present(field, listed)[1]


def _done(given: Plain) -> Done:
    """What was done before this reading, and the owner's leave."""
    said = {name: _is_said(given, name) for name in DEEDS}
    return Done(**said, push_pull_mm=maybe(given, "push_pull_mm", (0.0, MOST_PLAY_MM)))


def _is_said(given: Plain, name: str) -> bool:
    value = False if absent(given, name) else given[name]
    if not isinstance(value, bool):
        raise GaugeInputError("unknown", field=name, value=value, known="true, false")
    return value


def _listed(field: str, values: Any) -> list[Any]:
    """The values of a list that may have gaps, as many as a turn may have places."""
    given = values.tolist() if isinstance(values, np.ndarray) else values
    return list(rows(field, given, least=LEAST_PLACES, most=MOST_PLACES))


def _is_blank(value: Any) -> bool:
    return value is None or (isinstance(value, str) and not value.strip())


def _present(field: str, listed: list[Any]) -> tuple[list[int], Floats]:
    """Which places have a reading, counted from 0, and the readings, shape (N,)."""
    kept = [place for place, value in enumerate(listed) if not _is_blank(value)]
    if len(kept) < LEAST_PRESENT:
        raise GaugeInputError("too_few", field=field, value=len(kept), limit=LEAST_PRESENT)
    values = [
        between(field, listed[place], -MOST_READING_MM, MOST_READING_MM, row=place + 1)
        for place in kept
    ]
    _check_range(field, min(values), max(values))
    return kept, np.array(values)


def _check_range(field: str, least: float, most: float) -> None:
    # A dial whose foot hangs free, or whose stem sticks, shows one figure all round.
    if most == least:
        raise GaugeInputError("all_equal", field=field, value=f"{least:g}")
    if most - least > MOST_RANGE_MM:
        raise GaugeInputError(
            "too_big",
            field=f"The range of {field}",
            value=f"{most - least:.6g}",
            limit=f"{MOST_RANGE_MM:g}",
        )


def _angles(given: Plain, count: int) -> Floats:
    """Angles of all places, shape (count,), in 0 to 360°; no two of them the same."""
    start = optional(given, "start_deg", 0.0, (-360.0, 360.0))
    turned = "places" if absent(given, "turned") else choice("turned", given["turned"], TURNED)
    way = -1.0 if turned == "forward" else 1.0
    if given.get("angles_deg") is None:
        return (start + way * 360.0 * np.arange(count) / count) % 360
    typed = numbers("angles_deg", given["angles_deg"], least=LEAST_PLACES, most=MOST_PLACES)
    if len(typed) != count:
        raise GaugeInputError(
            "unequal", field="angles_deg", other="readings_mm", value=len(typed), limit=count
        )
    for row, angle in enumerate(typed.tolist(), 1):
        between("angles_deg", angle, -MOST_ANGLE_DEG, MOST_ANGLE_DEG, row=row)
    places = (start + way * typed) % 360
    order = np.argsort(places, kind="stable")
    steps = np.diff(places[order], append=places[order[0]] + 360)
    if steps.min() < SAME_PLACE_DEG:
        first = int(steps.argmin())
        row = max(int(order[first]), int(order[(first + 1) % count])) + 1
        raise GaugeInputError("twice", field="angles_deg", row=row, value=f"{typed[row - 1]:g}")
    return places


def placed(given: Plain) -> list[tuple[int, float]]:
    """The rows that have a reading, counted from 1 as typed, and the angle of each on the wheel.

    Whichever way it was turned, an angle is that of the place, in the playing direction.
    """
    listed = _listed("readings_mm", given.get("readings_mm"))
    angles = _angles(given, len(listed)).tolist()
    return [(row, angles[row - 1]) for row, one in enumerate(listed, 1) if not _is_blank(one)]


def place_near(places: list[tuple[int, float]], angle_deg: float) -> int:
    """The row whose place is nearest to that angle."""

    def apart(place: tuple[int, float]) -> float:
        return abs((place[1] - angle_deg + 180) % 360 - 180)

    return min(places, key=apart)[0]


def _sign(given: Plain) -> float:
    sign = 1.0 if absent(given, "sign") else number("sign", given["sign"])
    if abs(sign) != 1:
        raise GaugeInputError("unknown", field="sign", value=f"{sign:g}", known="1, -1")
    return sign


def _one_turn(angles: Floats, kept: list[int], values: Floats) -> tuple[Floats, Floats]:
    """Angles and readings of the places kept, both shape (N,), from 0° round."""
    places = angles[kept]
    order = np.argsort(places)
    return places[order], values[order]


def _side(listed: Any, angles: Floats, sigma_mm: float) -> Side:
    values = _listed("axial_mm", listed)
    if len(values) != len(angles):
        raise GaugeInputError(
            "unequal",
            field="axial_mm",
            other="readings_mm",
            value=len(values),
            limit=len(angles),
        )
    kept, present = _present("axial_mm", values)
    return Side(*_one_turn(angles, kept, present), sigma_mm)


def _lift(given: Any) -> float:
    return positive("lift_mm", given, most=MOST_LIFT_MM)


def _strings(given: Any) -> tuple[tuple[str, StringOnWheel], ...]:
    """Name and force of each string; a nameless one is called by its row."""
    listed = rows("strings", given, least=0, most=MOST_STRINGS)
    for row, one in enumerate(listed, 1):
        only(one, STRING_INPUTS, field="strings", row=row)
    return tuple(
        (str(one.get("name") or row), read_string(one, row=row))
        for row, one in enumerate(listed, 1)
    )


def _rule(given: Plain) -> Rule:
    """The house's own thresholds where it gave some."""
    limit = maybe(given, "leave_tir_mm", (0.001, 1.0))
    ratio = maybe(given, "ratio", (1.0, 100.0))
    form = maybe(given, "form_limit_mm", FORM_LIMITS_MM)
    own = limit is not None or ratio is not None or form is not None
    return Rule(
        leave_tir_mm=HOUSE_RULE.leave_tir_mm if limit is None else limit,
        ratio=HOUSE_RULE.ratio if ratio is None else ratio,
        form_limit_mm=HOUSE_RULE.form_limit_mm if form is None else form,
        source=HOUSE if own else HOUSE_RULE.source,
    )
