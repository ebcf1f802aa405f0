"""The benchmark of the gauges runs, and what it compares is the same work."""

from __future__ import annotations

import numpy as np

from repairs.gauges.climate import logger_csv as climate_csv
from repairs.measures import gauges
from repairs.measures.harness import QUICK


def test_a_quick_round_gives_every_figure():
    figures = gauges.measure(QUICK, lambda words: None)

    assert figures["wheel_fit_with_minimum_zone_to_bare_solve"].goal == "<= 20"
    assert figures["keyboard_of_24_keys_and_2_strings_solved_jointly"].goal == "<= 50"
    assert figures["wheels_in_a_batch_500"].value > 0
    assert figures["climate_log_5000_to_loadtxt_and_percentile"].value > 1


def test_the_floor_reads_the_humidity_that_the_log_reads():
    text = gauges.invented_log(600)

    log = climate_csv.read_csv(text)

    assert np.array_equal(gauges._floor(text), np.percentile(log.rh_pct, gauges.BAND))
