"""The ledger of a wheel: worked by hand, its range by simulation, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.wheel import ledger

THREE = [
    {"diameter_mm": 170.2},
    {"diameter_mm": 170.0, "cut": True},
    {"diameter_mm": 169.7, "cut": True},
]
STRINGS = [
    {"name": "Chanterelle", "lift_mm": 1.0, "u_lift_mm": 0.05, "least_mm": 0.4},
    {"name": "Mouche", "lift_mm": 0.7, "u_lift_mm": 0.05},
]


def test_the_ledger_by_hand():
    """Two cuts of 0.10 and 0.15 mm of the radius; the next takes 0.125 as they did on average.

    Chanterelle: (1.0 − 0.4)/0.125 = 4.8 cuts; mouche: 0.7/0.125 = 5.6.
    """
    found = ledger.run({"states": THREE, "strings": STRINGS})

    assert [line["change"] for line in found["lines"]] == ["first", "cut", "cut"]
    assert [line["lost_mm"] for line in found["lines"][1:]] == pytest.approx([0.10, 0.15])
    assert found["cuts"] == 2
    assert (found["next_mm"], found["basis"]) == (pytest.approx(0.125), "as_before")
    assert [one["cuts"] for one in found["strings"]] == [4, 5]
    assert (found["limited"], found["tightest"]["name"]) == ("by_string", "Chanterelle")


def test_the_last_reading_tells_what_the_next_cut_takes():
    states = [*THREE[:2], {"diameter_mm": 169.7, "cut": True, "next_mm": 0.2, "u_next_mm": 0.01}]

    found = ledger.run({"states": states, "strings": STRINGS})

    assert (found["next_mm"], found["u_next_mm"], found["basis"]) == (0.2, 0.01, "as_read")
    assert [one["cuts"] for one in found["strings"]] == [3, 3]


def test_no_cut_takes_less_than_a_blade():
    found = ledger.run({"states": [{"diameter_mm": 170, "next_mm": 0.01}], "strings": STRINGS})

    assert (found["next_mm"], found["basis"]) == (0.05, "least_cut")
    assert found["strings"][0]["cuts"] == 12


@pytest.mark.parametrize(
    ("states", "change"),
    [
        ([{"diameter_mm": 170.0}, {"diameter_mm": 169.97}], "unchanged"),
        ([{"diameter_mm": 170.0}, {"diameter_mm": 169.9}], "smaller_unrecorded"),
        ([{"diameter_mm": 170.0}, {"diameter_mm": 170.3}], "larger"),
        ([{"diameter_mm": 170.0}, {"diameter_mm": 169.99, "cut": True}], "cut"),
    ],
)
def test_a_change_is_told_by_what_is_sure_and_what_is_on_record(states, change):
    assert ledger.run({"states": states})["lines"][1]["change"] == change


def test_a_lift_read_before_a_cut_is_counted_down():
    """1.0 mm read at 170.2 mm; the wheel has 169.7 now: 0.25 mm of lift went with the rim."""
    string = {"name": "g", "lift_mm": 1.0, "at_diameter_mm": 170.2}

    (one,) = ledger.run({"states": THREE, "strings": [string]})["strings"]

    assert one["left_mm"] == pytest.approx(0.75)
    assert one["counted_down"]
    (same,) = ledger.run({"states": THREE, "strings": [string | {"at_diameter_mm": 169.71}]})[
        "strings"
    ]
    assert (same["left_mm"], same["counted_down"]) == (1.0, False)


def test_a_thin_band_may_be_used_up_first():
    found = ledger.run({"states": THREE, "strings": STRINGS, "band_mm": 1.3})

    assert (found["limited"], found["band"]["cuts"]) == ("by_band", 2)  # (1.3 − 1.0)/0.125
    assert ledger.run({"states": THREE})["limited"] == "by_nothing_known"
    assert ledger.run({"states": THREE})["tightest"] is None


@pytest.mark.parametrize(
    ("room", "u_room", "cut", "u_cut"),
    [(0.6, 0.05, 0.125, 0.01), (1.2, 0.1, 0.08, 0.01), (0.3, 0.1, 0.2, 0.02)],
)
def test_the_range_of_cuts_holds_in_95_of_100_wheels(room, u_room, cut, u_cut):
    chance = np.random.default_rng(15)
    drawn = chance.normal(room, u_room, 40_000) / chance.normal(cut, u_cut, 40_000)

    _cuts, low, high = ledger.cuts_in(room, u_room, cut, u_cut)

    whole = np.floor(np.maximum(drawn, 0))
    assert np.mean((low <= whole) & (whole <= high)) >= 0.94


@pytest.mark.parametrize(
    ("room", "cuts"), [(0.3, 3), (0.1 + 0.2, 3), (0.29, 2), (0.0, 0), (-0.1, 0), (500.0, 99)]
)
def test_cuts_are_whole_and_never_less_than_none(room, cuts):
    assert ledger.cuts_in(room, 0.0, 0.1, 0.0) == (cuts, cuts, cuts)


@pytest.mark.parametrize(
    ("given", "code", "field", "row"),
    [
        ({"states": []}, "too_few", "states", None),
        ({"states": [{}]}, "missing", "diameter_mm", 1),
        ({"states": [*THREE, {"diameter_mm": 17}]}, "too_small", "diameter_mm", 4),
        ({"states": [{"diameter_mm": 170, "cut": "yes"}]}, "unknown", "cut", 1),
        ({"strings": [{"lift_mm": -1}]}, "too_small", "lift_mm", 1),
        ({"strings": [{"name": "g"}]}, "missing", "lift_mm", 1),
        ({"band_mm": "x"}, "not_a_number", "band_mm", None),
    ],
)
def test_what_cannot_be_is_refused_with_its_place(given, code, field, row):
    with pytest.raises(GaugeInputError) as refusal:
        ledger.run({"states": THREE} | given)

    found = refusal.value
    assert (found.code, found.field, found.row) == (code, field, row)
