"""What air to ask for: the history of the instrument, the band of its wood, and the gauge whole."""

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.climate import logger_csv as climate_csv
from repairs.gauges.climate import logger_rows as climate_rows
from repairs.gauges.climate import target as climate_target
from repairs.gauges.climate.statistics import statistics
from repairs.gauges.climate.target import Glued, Part, care_target, wood_band
from repairs.gauges.everything import gauges
from repairs.gauges.wood.moisture import emc_pct
from repairs.gauges.wood.species import grain
from tests.gauges.climate.logs import PLAIN, a_long_log


def a_year_and_more(mean=50.0, swing=4.0, season=6.0, days=420):
    d = np.arange(days * 4) / 4
    rh = mean + season * np.sin(2 * np.pi * d / 365) + swing * np.sin(2 * np.pi * d / 6)
    return statistics((d * 86_400).astype(np.int64), rh)


SPRUCE = Part("soundboard", grain("engelmann_spruce", "radial"), 180)


MAPLE = Part("peg box", grain("sugar_maple", "tangential"), 60)


def test_a_proved_history_decides():
    target = care_target(a_year_and_more(), (SPRUCE,))

    # Season 50 ± 6 (a little less after 30 days' mean), and ±10 % RH where less was seen.
    assert target.basis == "history"
    assert target.low_rh_pct == pytest.approx(34.0, abs=0.5)
    assert target.high_rh_pct == pytest.approx(66.0, abs=0.5)


def test_an_instrument_from_a_damp_house_keeps_its_own_air():
    damp = care_target(a_year_and_more(mean=60), (SPRUCE,))
    dry = care_target(a_year_and_more(mean=42), (SPRUCE,))

    assert damp.low_rh_pct - dry.low_rh_pct == pytest.approx(18.0, abs=0.1)
    assert (damp.high_rh_pct, damp.notes) == (75.0, ("cut_at_75",))
    assert dry.low_rh_pct == pytest.approx(26.0, abs=0.5)


def test_the_band_of_the_wood_by_hand():
    # Spruce, C 0.0013: 0.4 % strain is 0.4/0.13 = 3.077 % moisture. At 20 °C and 50 % RH wood has
    # 9.271 %, so it may fall to 6.194 %, which the table of trade gives at 30.0 % RH (6.188), and
    # rise to 12.348, between 65 (11.996) and 70 % RH.
    low, high = wood_band((SPRUCE,), 50.0, 20.0, climate_target.DEFAULT_LIMITS["strain_pct"])

    assert low == pytest.approx(30.04, abs=0.05)
    assert 65 < high < 70

    # Maple, C 0.00353: 1.133 %: 8.138 % → between 42 and 43 % RH.
    low, high = wood_band((SPRUCE, MAPLE), 50.0, 20.0, climate_target.DEFAULT_LIMITS["strain_pct"])

    assert 42 < low < 43
    assert emc_pct(20.0, high) - emc_pct(20.0, 50.0) == pytest.approx(0.4 / 0.353, abs=1e-9)


def test_after_gluing_the_history_proves_nothing_and_the_wood_decides():
    seen = a_year_and_more()

    glued = care_target(seen, (SPRUCE, MAPLE), since=Glued(50))

    assert glued.basis == "history_and_wood"
    assert 42 < glued.low_rh_pct < 43
    assert glued.rest_rh_pct == 50
    assert {p.verdict.word for p in glued.parts if p.part == "soundboard"} == {"inside"}


def test_a_short_record_is_narrowed_by_the_wood_and_says_so():
    target = care_target(a_year_and_more(days=90, season=2), (MAPLE,))

    assert target.basis == "history_and_wood"
    assert "under_13_months" in target.notes


def test_without_a_month_the_wood_alone_decides():
    week = statistics(np.arange(7) * 86_400, np.full(7, 48.0) + np.arange(7))

    assert care_target(week, (MAPLE,)).basis == "wood"
    with pytest.raises(GaugeInputError, match="no whole month"):
        care_target(week)


def test_glue_far_from_home_is_said():
    target = care_target(a_year_and_more(mean=40, season=1), (MAPLE,), since=Glued(65))

    assert target.basis == "wood"
    assert "rest_outside_history" in target.notes


def test_the_gauge_answers_with_plain_data():
    text, _rh = a_long_log(130_000)

    got = gauges()["climate_log"].run(
        {"csv": text, "parts": [{"part": "soundboard", "species": "norway_spruce",
                                 "direction": "radial", "width_mm": 190}]}
    )  # fmt: skip

    assert got["import"]["rows"] == 130_000
    assert got["statistics"]["complete"]
    assert got["target"]["basis"] == "history"
    assert got["target"]["driest"]["risk"] == "unlikely"


@pytest.mark.parametrize(
    ("data", "code", "says"),
    [
        ({}, "needs_one", "csv, rows; 0 were given"),
        ({"csv": PLAIN, "rows": [[1, 2]]}, "needs_one", "2 were given"),
        ({"csv": 7}, "missing", "csv is missing"),
        ({"rows": [["2025-01-01", 50], "2025"]}, "missing", "(row 2)"),
        ({"csv": PLAIN, "parts": [{"species": "pear", "direction": "radial"}]}, "missing",
         "width_mm is missing (row 1)"),
        ({"csv": PLAIN, "band": 5}, "unknown", "band"),
        ({"csv": PLAIN, "day_first": "maybe"}, "unknown", "true, false"),
    ],
)  # fmt: skip
def test_bad_input_is_refused_by_name(data, code, says):
    with pytest.raises(GaugeInputError) as refused:
        gauges()["climate_log"].run(data)

    assert refused.value.code == code
    assert says in refused.value.sentence()


GOLDEN = [
    "climate_target 2",
    "climate_rows 2",
    "climate_csv 1",
    42.735260975,
    56.736783099,
    2.262110434,
    -0.265155807,
    0.11111031,
]


def test_figures_change_only_with_the_version():
    target = care_target(a_year_and_more(), (SPRUCE, MAPLE), since=Glued(50))
    got = [
        climate_target.VERSION,
        climate_rows.VERSION,
        climate_csv.VERSION,
        round(target.low_rh_pct, 9),
        round(target.high_rh_pct, 9),
        round(target.u_edge_pct, 9),
        round(target.parts[0].change_mm, 9),
        round(target.parts[0].u_change_mm, 9),
    ]

    assert got == GOLDEN
