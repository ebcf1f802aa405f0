"""What the finishing check says of a sound keybox, of what was not measured, and its figures."""

import json

import pytest

from repairs.gauges.action import advice as action_advice
from repairs.gauges.action import gauge as action
from repairs.gauges.action import plan as action_plan
from repairs.gauges.action import sheet as action_sheet
from repairs.gauges.action import side as action_side
from tests.gauges.action.boxes import STRING, box, key, run


def test_a_sound_keybox_is_playable_to_its_highest_key_and_nothing_is_prescribed():
    keys = [
        key(n, 400 * (1 - 2 ** (-n / 12)), thickness_mm=2, flag_low_mm=18, flag_high_mm=30,
            shank_height_mm=15, travel_mm=4, side_play_mm=0.2, returns="free")
        for n in range(1, 24)
    ]  # fmt: skip
    got = run(
        box(
            keys,
            spacing_nut_mm=9,
            spacing_bridge_mm=11,
            walls=[{"at_mm": 5, "height_mm": 15}],
            lid={"from_mm": 0, "to_mm": 320, "height_mm": 35},
            wheel={
                "from_bridge_mm": 30,
                "rim_height_mm": 27.8,
                "thickness_mm": 12,
                "edge_drop_mm": 0.3,
            },
        )
    )

    assert (got["playable_up_to"], got["surely_up_to"]) == (23, 23)
    assert (got["first_fail"], got["first_doubt"]) == (None, None)
    assert got["prescriptions"] == []
    assert got["not_judged"] == []
    json.dumps(got, allow_nan=False)


def test_what_was_not_measured_is_said_and_not_assumed():
    got = run(box([key(1, 22)]))

    assert "clear_other" in got["not_judged"]
    assert {"flag_low", "lid", "wheel_edge", "returns"} <= set(got["not_judged"])
    assert got["playable_up_to"] == 1


def test_one_chanterelle_alone_needs_no_contact_together():
    data = box([{"key": 1, "at_mm": 22, "gap_mm": 1.5}])
    data["strings"] = [STRING]

    got = run(data)

    assert "together" not in got["not_judged"]
    assert got["playable_up_to"] == 1


def test_the_house_may_set_its_own_limit():
    data = box([key(1, 22, (1.2, 1.5))], limits={"together_mm": {"lower": -0.5, "upper": 0.5}})

    assert run(data)["first_fail"] is None


def test_a_flag_that_no_turn_brings_far_enough_is_re_pinned():
    # The face points straight at the string: no turn brings it nearer.
    got = run(box([key(1, 22, (1.5, 1.9), offset_mm=3.0)]))

    assert got["prescriptions"][0]["verb"] == "repin"
    assert got["prescriptions"][0]["gap_change_mm"] == pytest.approx(-0.4)


GOLDEN = [
    "action 2",
    "action_plan 1",
    "action_side 1",
    "action_advice 2",
    "action_sheet 1",
    18,
    11,
    255,
    693.400817,
    -0.08,
    28.965052,
    3.0,
]


def test_figures_change_only_with_the_version():
    keys = [
        key(n, 345 * (1 - 2 ** (-n / 12)), (1.2 + 0.02 * n, 1.3), thickness_mm=2, flag_low_mm=19,
            flag_high_mm=27)
        for n in range(1, 24)
    ]  # fmt: skip
    got = run({**box(keys, spacing_nut_mm=6, spacing_bridge_mm=8), "length_mm": 345})
    figures = [round(c["verdict"]["value"], 9) for c in got["checks"]]
    answer = [
        action.VERSION,
        action_plan.VERSION,
        action_side.VERSION,
        action_advice.VERSION,
        action_sheet.VERSION,
        got["playable_up_to"],
        got["surely_up_to"],
        len(figures),
        round(sum(figures), 6),
        round(min(figures), 9),
        round(sum(c["verdict"]["u"] for c in got["checks"]), 6),
        round(sum(p["by_mm"] for p in got["prescriptions"]), 6),
    ]

    assert answer == GOLDEN
