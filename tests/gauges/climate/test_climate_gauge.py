"""The gauge of a climate record as a page asks it: parts, temperatures, refusals by row."""

from __future__ import annotations

import math

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.gauges.wood.moisture import emc_pct, rh_for_emc
from tests.gauges.climate.logs import PLAIN


def ask(**more):
    return gauges()["climate_log"].run({"csv": PLAIN, **more})


PART = {"width_mm": 60, "species": "sugar_maple", "direction": "tangential"}


def test_a_week_without_a_part_asks_for_nothing():
    assert ask()["target"] is None
    assert ask(parts=[])["target"] is None
    assert ask()["statistics"]["mean_t_c"] == pytest.approx(20.1)


def test_the_temperature_of_the_record_or_the_one_that_is_told():
    # The mean of 45.5, 46 and 47 is 46.1667 % RH; 0.4 % of strain below it.
    def low(t_c):
        return rh_for_emc(t_c, emc_pct(t_c, 138.5 / 3) - 0.004 / 0.00353)

    assert ask(parts=[PART])["target"]["wood_low_pct"] == pytest.approx(low(20.1))
    assert ask(parts=[PART], t_c=5)["target"]["wood_low_pct"] == pytest.approx(low(5))
    bare = ask(csv="Date,RH\n2025-01-01,45.5\n2025-01-02,46\n2025-01-03,47\n", parts=[PART])
    assert bare["target"]["wood_low_pct"] == pytest.approx(low(20))
    assert bare["target"]["parts"][0]["part"] == "1"
    named = ask(parts=[{**PART, "part": "neck"}, PART])["target"]["parts"]
    assert [p["part"] for p in named] == ["neck", "neck", "2", "2"]


def test_a_record_of_five_weeks_without_a_part_is_its_short_history():
    days = np.datetime64("2025-01-01") + np.arange(35)
    rows = [[str(day), 50] for day in days]

    target = gauges()["climate_log"].run({"rows": rows})["target"]

    assert (target["basis"], target["low_rh_pct"], target["high_rh_pct"]) == (
        "short_history", 40, 60,
    )  # fmt: skip


def test_what_is_told_of_the_logger_and_the_glue_is_taken():
    got = ask(parts=[PART], glued_at_rh_pct=60, u_rh_pct=1)["target"]

    assert got["rest_rh_pct"] == 60
    assert got["driest"]["u_drop_rh_pct"] == pytest.approx(math.sqrt(2))
    free = ask(parts=[PART], limits={"strain_pct": {"lower": -0.2}})["target"]
    assert free["wood_high_pct"] == 100


@pytest.mark.parametrize(
    ("more", "code", "field", "row"),
    [
        ({"parts": [PART, {**PART, "width_mm": 0.9}]}, "too_small", "width_mm", 2),
        ({"parts": [PART, {**PART, "colour": 1}]}, "unknown", "parts", 2),
        ({"parts": [PART, {"width_mm": 5}]}, "needs_one", "species, c_per_pct, shrinkage_pct", 2),
        ({"parts": [PART] * 21}, "too_many", "parts", None),
        ({"csv": None, "rows": [["2025-01-01", 50]]}, "too_few", "rows", None),
        ({"day_first": "yes"}, "unknown", "day_first", None),
    ],
)
def test_a_wrong_part_is_refused_with_its_row(more, code, field, row):
    with pytest.raises(GaugeInputError) as refused:
        ask(**more)

    assert (refused.value.code, refused.value.field, refused.value.row) == (code, field, row)


@pytest.mark.parametrize("way", ["csv", "rows"])
@pytest.mark.parametrize(("day_first", "last"), [(True, "2025-04-03"), (False, "2025-03-04")])
def test_who_says_which_is_the_day_is_heard(way, day_first, last):
    rows = [["01/02/2025", 50], ["03/04/2025", 51]]
    text = "Date;RH\n" + "\n".join(f"{date};{rh}" for date, rh in rows)
    given = text if way == "csv" else rows

    found = gauges()["climate_log"].run({way: given, "day_first": day_first})["import"]

    assert found["last"] == f"{last}T00:00:00"
