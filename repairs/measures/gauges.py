"""The gauges against bare numpy: one wheel, ten thousand wheels, and a climate log of 300,000 rows.

One process, warm, on one core; what is compared is run in turns, in CPU seconds. The wheels are
invented: 24 readings with eccentricity, ovality, lobes and the noise of a dial gauge.
"""

from __future__ import annotations

import io
import time
from collections.abc import Callable
from statistics import median
from typing import Any

import numpy as np

from repairs.gauges.base.arrays import Floats
from repairs.gauges.climate import logger_csv as climate_csv
from repairs.gauges.climate import statistics as climate
from repairs.gauges.keys.correction import DEFAULT_LIMITS as KEY_LIMITS
from repairs.gauges.keys.correction import correct
from repairs.gauges.keys.gauge import run_correction
from repairs.gauges.keys.keyboard import wanted_cents
from repairs.gauges.keys.together import answer_keys
from repairs.gauges.keys.typed import readings_of
from repairs.gauges.wheel import batch as wheel_batch
from repairs.gauges.wheel import gauge as wheel
from repairs.gauges.wheel.fit import fit, fourier_basis
from repairs.measures.harness import Figure, Plan, Say, one_core, ratio

READINGS = 24
SIGMA_MM = 0.005
ALONE = 300  # wheels measured one by one
PARTS = 7  # how often the ways take turns in a round
BATCH, LOG_ROWS = 10_000, 300_000
QUICK_ALONE, QUICK_BATCH, QUICK_LOG_ROWS = 20, 500, 5_000
KEYS = 24
LOG_STEP_S = 600
BAND = (7, 93)  # percentiles of EN 15757
FIRST_DAY = np.datetime64("2020-01-01T00:00:00")

Way = Callable[[], object]


def measure(plan: Plan, say: Say) -> dict[str, Figure]:
    """Measure the gauges in turns with what numpy alone needs; return the figures by name."""
    quick = plan.rounds == 1
    with one_core():
        return {
            **_one_by_one(QUICK_ALONE if quick else ALONE, plan.rounds, say),
            **_batch(QUICK_BATCH if quick else BATCH, plan.rounds, say),
            **_keyboard(plan.rounds, say),
            **_climate_log(QUICK_LOG_ROWS if quick else LOG_ROWS, plan.rounds, say),
        }


def _one_by_one(wheels: int, rounds: int, say: Say) -> dict[str, Figure]:
    """A fit with all four circles, and the whole gauge, to a bare solve of harmonics 1 to 3."""
    angles, readings = invented_wheels(wheels)
    theta = np.radians(angles)
    basis = fourier_basis(theta, 3)
    inputs = [_as_typed(angles, one) for one in readings]
    spent = _in_turns(
        {
            "solve": lambda: [np.linalg.lstsq(basis, one, rcond=None) for one in readings],
            "fit": lambda: [fit(theta, one, SIGMA_MM) for one in readings],
            "gauge": lambda: [wheel.run(one) for one in inputs],
        },
        rounds * PARTS,
    )
    say(f"one wheel: fitted in {1e6 * median(spent['fit']) / wheels:.0f} µs of CPU")
    micro = 1e6 / wheels
    return {
        "wheel_fit_with_minimum_zone_to_bare_solve": Figure(
            ratio(spent["fit"], spent["solve"]), "× CPU", "<= 20"
        ),
        "wheel_gauge_to_bare_solve": Figure(ratio(spent["gauge"], spent["solve"]), "× CPU"),
        "bare_solve": Figure(micro * median(spent["solve"]), "µs of CPU"),
        "wheel_fit_with_minimum_zone": Figure(micro * median(spent["fit"]), "µs of CPU"),
        "wheel_gauge": Figure(micro * median(spent["gauge"]), "µs of CPU"),
    }


def _as_typed(angles: Floats, readings: Floats) -> dict[str, Any]:
    """One wheel as its sheet hands it to the gauge."""
    return {
        "angles_deg": angles.tolist(),
        "readings_mm": readings.tolist(),
        "mean_diameter_mm": 170.0,
        "gauge_sigma_mm": SIGMA_MM,
    }


def _batch(wheels: int, rounds: int, say: Say) -> dict[str, Figure]:
    """Many wheels in step, once complete and once with a reading in twenty missing."""
    angles, complete = invented_wheels(wheels)
    gappy = complete.copy()
    gappy[np.random.default_rng(2).random(gappy.shape) < 0.05] = np.nan
    spent = _in_turns(
        {
            "complete": lambda: wheel_batch.fit_many(angles, complete, SIGMA_MM),
            "gappy": lambda: wheel_batch.fit_many(angles, gappy, SIGMA_MM),
        },
        rounds,
    )
    say(f"{wheels} wheels in a batch: {median(spent['complete']):.2f} s of CPU")
    return {
        f"wheels_in_a_batch_{wheels}": Figure(median(spent["complete"]), "s of CPU"),
        f"wheels_with_gaps_in_a_batch_{wheels}": Figure(median(spent["gappy"]), "s of CPU"),
        "wheels_per_second": Figure(wheels / median(spent["complete"]), "wheels a second"),
    }


def _keyboard(rounds: int, say: Say) -> dict[str, Figure]:
    """A full keyboard of two strings: each key solved jointly, and the whole gauge."""
    given = invented_keyboard()
    keys, _scale = wanted_cents(given)
    readings = readings_of(given, keys)
    done = [correct(keys, one) for one in readings]
    spent = _in_turns(
        {
            "keys": lambda: answer_keys(given, keys, readings, done, (), KEY_LIMITS),
            "gauge": lambda: run_correction(given),
        },
        rounds * PARTS,
    )
    say(f"{KEYS} keys with two strings: solved in {1e3 * median(spent['keys']):.1f} ms of CPU")
    return {
        "keyboard_of_24_keys_and_2_strings_solved_jointly": Figure(
            1e3 * median(spent["keys"]), "ms of CPU", "<= 50"
        ),
        "keyboard_gauge": Figure(1e3 * median(spent["gauge"]), "ms of CPU"),
    }


def invented_keyboard() -> dict[str, Any]:
    """A keyboard out of tune and out of line, every flag and gap known."""
    rng = np.random.default_rng(4)
    strings = [
        {
            "name": name,
            "measured_cents": rng.normal(0.0, 6.0, KEYS).round(1).tolist(),
            "open_cents": 0.0,
            "offset_mm": 3.0,
            "gap_mm": rng.normal(1.5, 0.3, KEYS).round(2).tolist(),
        }
        for name in ("first", "second")
    ]
    return {
        "length_mm": 345.0,
        "temperament": "just",
        "keys": KEYS,
        "reading": "off_wanted",
        "strings": strings,
    }


def _climate_log(rows: int, rounds: int, say: Say) -> dict[str, Figure]:
    """A logger's file read, checked and judged, to numpy reading two columns and a percentile."""
    text = invented_log(rows)
    spent = _in_turns({"log": lambda: _log(text), "floor": lambda: _floor(text)}, rounds)
    say(f"a climate log of {rows} rows: {median(spent['log']):.2f} s of CPU")
    return {
        f"climate_log_{rows}_to_loadtxt_and_percentile": Figure(
            ratio(spent["log"], spent["floor"]), "× CPU"
        ),
        f"climate_log_{rows}": Figure(median(spent["log"]), "s of CPU"),
        f"loadtxt_and_percentile_{rows}": Figure(median(spent["floor"]), "s of CPU"),
    }


def _log(text: str) -> object:
    log = climate_csv.read_csv(text)
    return climate.statistics(log.time_s, log.rh_pct, log.t_c)


def _floor(text: str) -> Floats:
    """Without the dates, which loadtxt cannot read: the least that such a file can cost."""
    columns = np.loadtxt(io.StringIO(text), delimiter=",", skiprows=1, usecols=(1, 2))
    return np.asarray(np.percentile(columns[:, 0], BAND))


def _in_turns(ways: dict[str, Way], turns: int) -> dict[str, list[float]]:
    """CPU seconds of each way, once warmed; every second turn goes backwards."""
    for way in ways.values():
        way()
    spent: dict[str, list[float]] = {name: [] for name in ways}
    for turn in range(turns):
        for name in list(ways)[:: -1 if turn % 2 else 1]:
            begun = time.process_time()
            ways[name]()
            spent[name].append(time.process_time() - begun)
    return spent


def invented_wheels(count: int) -> tuple[Floats, Floats]:
    """Angles in degrees, shape (24,), and readings in millimetres, shape (count, 24)."""
    rng = np.random.default_rng(1)
    angles = 360.0 * np.arange(READINGS) / READINGS
    readings = rng.normal(0.0, SIGMA_MM, (count, READINGS))
    for order, most in ((1, 0.35), (2, 0.1), (3, 0.05), (5, 0.012)):
        high = rng.uniform(0.0, 2 * np.pi, (count, 1))
        readings += rng.uniform(0.0, most, (count, 1)) * np.cos(order * np.radians(angles) - high)
    return angles, readings.round(3)


def invented_log(rows: int) -> str:
    """A logger's file: time, % RH and °C every ten minutes, with seasons, days and weather."""
    rng = np.random.default_rng(3)
    seconds = LOG_STEP_S * np.arange(rows)
    year, day = (2 * np.pi * seconds / (span * 86400) for span in (365.25, 1))
    weather = np.convolve(rng.normal(0.0, 1.0, rows + 143), np.ones(144) / 12, "valid")
    humidity = np.clip(50 + 8 * np.cos(year) + 2 * np.sin(day) + 3 * weather, 5, 95)
    warmth = 20 - 2 * np.cos(year) + np.sin(day) + rng.normal(0.0, 0.1, rows)
    times = (FIRST_DAY + seconds.astype("timedelta64[s]")).astype(str).tolist()
    lines = (
        f"{at.replace('T', ' ')},{rh:.1f},{t:.1f}"
        for at, rh, t in zip(times, humidity.tolist(), warmth.tolist(), strict=True)
    )
    return "\n".join(["time,rh,temperature", *lines, ""])
