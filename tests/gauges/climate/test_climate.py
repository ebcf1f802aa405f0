"""EMC against the Handbook's table and SciPy, the record's statistics against SciPy and by hand."""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import uniform_filter1d
from scipy.optimize import brentq

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.climate import statistics as climate
from repairs.gauges.climate.statistics import DAY_S, moving_average, statistics
from repairs.gauges.everything import gauges
from repairs.gauges.wood.moisture import emc, emc_pct, rh_for_emc

ROWS = json.loads((Path(__file__).parent / "published_climate.json").read_text("utf-8"))
TABLE = [r for r in ROWS if r["subject"] in ("wood.emc", "wood.emc.computed")]
INVERSE = [r for r in ROWS if r["subject"] == "wood.emc.inverse"]


def test_the_whole_published_table_is_there():
    assert len(TABLE) == 263
    assert {r["source"].split(",")[0] for r in TABLE[:247]} == {"FPL"}


@pytest.mark.parametrize(
    "row", TABLE, ids=lambda r: f"{r['inputs']['T_C']}-{r['inputs']['RH_pct']}"
)
def test_emc_is_that_of_the_wood_handbook(row):
    got = emc_pct(row["inputs"]["T_C"], row["inputs"]["RH_pct"])

    assert got == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", INVERSE, ids=lambda r: str(r["inputs"]["MC_pct"]))
def test_the_inverse_is_that_of_the_published_values(row):
    got = rh_for_emc(row["inputs"]["T_C"], row["inputs"]["MC_pct"])

    assert got == pytest.approx(row["expected"], abs=row["tolerance"])


@settings(deadline=None, max_examples=60, derandomize=True)
@given(t_c=st.floats(-2, 130), rh=st.floats(0.5, 99.5))
def test_the_inverse_agrees_with_brent_and_leads_back(t_c, rh):
    moisture = emc_pct(t_c, rh)
    by_scipy = brentq(lambda h: emc_pct(t_c, h) - moisture, 0.0, 100.0, xtol=1e-12)

    got = rh_for_emc(t_c, moisture)

    assert got == pytest.approx(by_scipy, abs=1e-6)
    assert emc_pct(t_c, got) == pytest.approx(moisture, abs=1e-9)


@settings(deadline=None, max_examples=60, derandomize=True)
@given(t_c=st.floats(-2, 130), rh=st.floats(0, 99))
def test_damper_air_makes_damper_wood(t_c, rh):
    assert emc_pct(t_c, rh + 1.0) > emc_pct(t_c, rh)


def test_an_array_gives_what_its_members_give():
    both = emc_pct(np.array([10.0, 20.0]), np.array([40.0, 60.0]))

    assert both.tolist() == [emc_pct(10.0, 40.0), emc_pct(20.0, 60.0)]


def test_uncertainty_joins_hygrometer_thermometer_and_model():
    # At 20 °C and 50 %: table 45 % 8.485, 55 % 10.101, slope about 1.616/10 = 0.162 per % RH.
    # 2 % RH gives 0.32; the model ±1 % gives 0.577; the thermometer next to nothing: 0.66.
    assert emc(20.0, 50.0).u_emc_pct == pytest.approx(0.66, abs=0.01)
    assert emc(20.0, 50.0, u_rh_pct=0.0, u_t_c=0.0).u_emc_pct == pytest.approx(0.57735, abs=1e-5)


@pytest.mark.parametrize(
    ("t_c", "rh", "code", "field"),
    [
        (20, 101, "too_big", "rh_pct"),
        (20, -1, "too_small", "rh_pct"),
        (20, "damp", "not_a_number", "rh_pct"),
        (20, float("nan"), "not_a_number", "rh_pct"),
        (None, 50, "missing", "t_c"),
        (200, 50, "too_big", "t_c"),
    ],
)
def test_impossible_air_is_refused_by_name(t_c, rh, code, field):
    with pytest.raises(GaugeInputError) as refused:
        gauges()["emc"].run({"t_c": t_c, "rh_pct": rh})

    assert (refused.value.code, refused.value.field) == (code, field)


def test_no_air_is_as_damp_as_green_wood():
    with pytest.raises(GaugeInputError, match=r"saturated air at 20 °C"):
        rh_for_emc(20.0, 45.0)


def test_a_misspelt_input_is_refused():
    with pytest.raises(GaugeInputError, match="t_celsius"):
        gauges()["emc"].run({"t_celsius": 20, "rh_pct": 50})


# A record


def the_band(seen):
    assert seen.band is not None
    return seen.band


def daily(rh):
    return np.arange(len(rh), dtype=np.int64) * DAY_S, np.asarray(rh, dtype=float)


def test_the_band_of_en_15757_is_that_of_the_published_series():
    row = next(r for r in ROWS if r["subject"] == "climate.en15757")
    d = np.arange(120)
    rh = 50 + 8 * np.sin(2 * np.pi * d / 365) + 5 * np.sin(2 * np.pi * d / 7)

    band = the_band(statistics(*daily(rh)))

    assert band.p7_pct == pytest.approx(row["expected"]["p7"], abs=row["tolerance"])
    assert band.p93_pct == pytest.approx(row["expected"]["p93"], abs=row["tolerance"])
    assert band.rows == 90
    assert (band.used_lower_pct, band.used_upper_pct, band.widened) == (-10.0, 10.0, True)


def test_the_moving_average_agrees_with_scipy_on_an_even_record():
    rng = np.random.default_rng(7)
    rh = 50 + np.cumsum(rng.normal(0, 0.2, 24 * 90))
    time_s = np.arange(len(rh), dtype=np.int64) * 3600

    average, whole = moving_average(time_s, rh)

    window = 30 * 24 + 1
    assert average[whole] == pytest.approx(uniform_filter1d(rh, window)[whole], abs=1e-9)
    assert whole.sum() == len(rh) - 2 * 15 * 24


def test_a_gap_takes_the_average_from_its_neighbours_and_half_empty_windows_away():
    time_s, rh = daily(np.full(200, 50.0))
    kept = np.ones(200, dtype=bool)
    kept[80:110] = False  # 30 days: around day 95 nothing is left of the window

    average, whole = moving_average(time_s[kept], rh[kept])

    # Windows hold 31 days; 15 suffice. Day 79 has days 64–79, 16; day 80 to 109 have no row.
    assert average == pytest.approx(50.0)
    assert whole.sum() == 200 - 30 - 30


def test_a_skew_band_beyond_ten_is_used_as_it_is():
    # 400 days at 50 %, every tenth day at 20 %: a window holds 3 or 4 of them, so its mean is
    # 50 − 30·3/31 = 47.10 or 50 − 30·4/31 = 46.13. A tenth of all fluctuations is about −27,
    # so the 7th percentile is −27.10 or −26.13, and the 93rd +2.90 or +3.87.
    rh = np.full(400, 50.0)
    rh[::10] = 20.0

    seen = statistics(*daily(rh))
    band = the_band(seen)

    assert any(band.p7_pct == pytest.approx(-30 + 30 * n / 31) for n in (3, 4))
    assert band.p93_pct == pytest.approx(30 * 4 / 31)
    assert not band.widened
    assert band.used_lower_pct == band.p7_pct
    assert seen.days_below_25 == 40
    assert "was_below_25" in seen.notes


def test_under_thirteen_months_is_said():
    assert "under_13_months" in statistics(*daily(np.full(390, 50.0))).notes
    assert statistics(*daily(np.full(397, 50.0))).complete


def test_a_week_has_no_band():
    seen = statistics(*daily([50, 52, 49, 51, 50, 48, 50]))

    assert seen.band is None
    assert "no_whole_30_days" in seen.notes
    assert seen.mean_rh_pct == pytest.approx(50.0)


def test_the_longest_damp_stretch_is_found():
    seen = statistics(*daily([50, 80, 80, 50, 80, 80, 80, 50]))

    assert seen.longest_above_75_days == 3
    assert seen.days_above_75 == 5


@settings(deadline=None, max_examples=30, derandomize=True)
@given(shift=st.floats(-20, 20), seed=st.integers(0, 1000))
def test_a_hygrometer_that_is_off_does_not_change_the_band(shift, seed):
    rh = 50 + np.random.default_rng(seed).normal(0, 5, 120)

    true, off = (the_band(statistics(*daily(v))) for v in (rh, rh + shift))

    assert off.p7_pct == pytest.approx(true.p7_pct, abs=1e-9)
    assert off.p93_pct == pytest.approx(true.p93_pct, abs=1e-9)


GOLDEN = {
    "version": "climate 1",
    "emc": 9.27114071,
    "u_emc": 0.661070067,
    "rh": 48.29965157,
    "rh_u": 3.65098248,
}


def test_figures_change_only_with_the_version():
    air = gauges()["emc"].run({"t_c": 20, "rh_pct": 50})
    back = gauges()["rh_for_emc"].run({"t_c": 20, "emc_pct": 9})
    got = {
        "version": climate.VERSION,
        "emc": round(air["emc_pct"], 9),
        "u_emc": round(air["u_emc_pct"], 9),
        "rh": round(back["rh_pct"], 9),
        "rh_u": round(back["u_rh_pct"], 9),
    }

    assert got == GOLDEN
