"""From gauges to figures: each law is told from the others, against values worked by hand."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from repairs.gauges.causes.evidence import Read, gather, swell_p, top_limit_n
from repairs.gauges.causes.evidence_action import action_values
from repairs.gauges.causes.evidence_cards import card_heard, role_of, voicing_values
from repairs.gauges.causes.evidence_keys import correction_values
from repairs.gauges.causes.evidence_wheel import wheel_values
from repairs.gauges.everything import gauges

LENGTH = 345.0


def run(gauge: str, given: dict[str, Any]) -> Read:
    return Read(gauge, given, gauges()[gauge].run(given))


def figures(*reads: Read) -> dict[str, Any]:
    return {one.figure: one.value for one in gather(reads).values}


def turn(ecc: float = 0.0, oval: float = 0.0, step: float = 0.0, at: int = 7) -> list[float]:
    """24 places, with 2 µm of tooth so that no place is too good to be true."""
    rows = []
    for n in range(24):
        a = math.radians(15 * n)
        rows.append(ecc * math.cos(a - 1) + oval * math.cos(2 * a) + 0.004 * (-1) ** n)
    rows[at] += step
    rows[at + 1] += step
    return rows


def wheel(readings: list[float], **more: Any) -> Read:
    given = {"readings_mm": readings, "mean_diameter_mm": 172.0, "gauge_sigma_mm": 0.004}
    return run("wheel", {**given, **more})


def test_a_step_at_one_place_is_no_ovality_and_no_eccentricity():
    found = figures(wheel(turn(ecc=0.02, step=0.08)))

    assert found["ecc_mm"] == pytest.approx(0.02, abs=0.002)
    assert found["oval_amp_mm"] < 0.003
    assert found["step_mm"] == pytest.approx(0.08, abs=0.01)
    assert found["residual_mm"] < 0.007


def test_two_turns_give_what_does_not_repeat():
    first, second = turn(0.02), [r + 0.02 * (-1) ** (n // 2) for n, r in enumerate(turn(0.02))]
    read = wheel(first)

    alone = figures(read)
    given = {**read.given, "second_turn_mm": second}
    lists = {**read.given, "readings_mm": [first, second]}

    assert "repeat_sd_mm" not in alone
    for both in (given, lists):
        found = {one.figure: one.value for one in wheel_values(both, read.output)}
        assert found["repeat_sd_mm"] == pytest.approx(0.02 / math.sqrt(2))


def test_turns_that_cannot_be_are_passed_over():
    read = wheel(turn(0.02))

    for second in ([0.1], ["x"] * 24, [None] * 24):
        found = {one.figure for one in wheel_values({**read.given, "second_turn_mm": second},
                 read.output)}  # fmt: skip
        assert "repeat_sd_mm" not in found and "ecc_mm" in found
    assert wheel_values(read.given, {}) == []


def correction(law: Any) -> dict[str, float]:
    """Two strings whose error is ``law(string, key, x)`` cents, with a tooth of half a cent."""
    strings = []
    for number in (0, 1):
        keys = []
        for key in range(1, 24):
            x = LENGTH * (1 - 2 ** (-key / 12))
            off = law(number, key, x) + 0.5 * (-1) ** (key + number)
            keys.append({"key": key, "wanted_cents": 100.0 * key, "off_cents": off})
        strings.append({"name": str(number), "keys": keys})
    values = correction_values({}, {"length_mm": LENGTH, "strings": strings})
    return {one.figure: float(one.value) for one in values}


def test_a_bridge_too_near_is_told_from_an_old_string_and_from_a_nut():
    def bridge(_s: int, key: int, x: float) -> float:
        return 1200 * math.log2((LENGTH - 1.8) / (LENGTH - 1.8 - x)) - 100 * key

    near = correction(bridge)
    old = correction(lambda s, key, _x: 15 * key / 23 if s == 0 else 0)
    nut = correction(lambda _s, _k, _x: 1200 * math.log2((LENGTH - 2) / LENGTH))

    assert near["bridge_mm"] == pytest.approx(1.8, abs=0.1) and near["drift_cents"] < 1
    assert old["drift_cents"] == pytest.approx(15, abs=1) and old["bridge_mm"] < 0.15
    # A nut nearer by 2 mm: every key about 10 cents flat, right among themselves.
    assert nut["all_alike_cents"] == pytest.approx(10.1, abs=0.3)
    assert nut["bridge_mm"] < 0.05 and nut["drift_cents"] < 0.5
    for found in (near, old, nut):
        assert found["worst_cents"] < 6 and "partner_share" not in found


def test_one_tangent_is_no_fault_of_the_scale_and_its_partner_is_asked():
    turned = correction(lambda s, key, _x: 18 if (s, key) == (0, 9) else 0)
    line = correction(lambda s, key, _x: {(0, 14): -5, (1, 14): 6}.get((s, key), 0))

    assert turned["worst_cents"] == pytest.approx(18, abs=1.5)
    assert turned["partner_share"] < 0.15 < 0.5 < line["partner_share"]
    assert turned["bridge_mm"] < 0.1 and turned["one_string_rms_cents"] < 2


def test_another_temperament_is_common_to_both_strings():
    pattern = np.array([0, 9, -6, 4, -9, 7, -3, 10, -5, 2, 6, -8])

    found = correction(lambda _s, key, _x: float(pattern[key % 12]))

    assert found["common_rms_cents"] > 4 and found["one_string_rms_cents"] < 2


def test_too_few_keys_say_nothing():
    assert correction_values({}, {"length_mm": LENGTH, "strings": []}) == []
    few = {"strings": [{"keys": [{"key": 1, "wanted_cents": 100, "off_cents": 3}]}]}
    assert correction_values({}, few) == []


def test_the_limit_of_the_highest_key_is_that_of_the_trade():
    # g', gut 0.80, Ø 172 at 60 turns a minute: 1.75 N at key 23.
    assert top_limit_n(47.8, 345.0, 25.0) == pytest.approx(1.75, abs=0.01)


def test_a_swell_of_six_per_cent_is_heard_half_the_time():
    assert swell_p(6.0) == pytest.approx(0.5)
    assert swell_p(3.0) == pytest.approx(1 / (1 + math.exp(2)))
    assert swell_p(50.0) == 0.95 and swell_p(0.0) == 0.02


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("chanterelle_1", "chanterelle"), ("Première chanterelle", "chanterelle"),
        ("Trompette", "trompette"), ("gros bourdon", "drone"), ("mouche", "drone"),
        ("small drone", "drone"), ("", "chanterelle"),
    ],
)  # fmt: skip
def test_a_string_is_known_by_its_name(name, role):
    assert role_of(name) == role


def test_a_card_gives_force_or_else_paper_and_what_it_heard():
    whole = {"string": "mouche", "lift_mm": 1.0, "from_bridge_mm": 25.0, "length_mm": 345.0,
             "tension_n": 31.6, "paper": "nipped", "pitch_follows_crank": True}  # fmt: skip
    bare = {"string": "chanterelle", "paper": "grabbed", "sound_highest": "chokes",
            "cotton_sense": "against_wheel", "cotton_state": "bunched"}  # fmt: skip

    forced, told = run("voicing_card", whole), run("voicing_card", bare)

    assert figures(forced)["force_drone_n"] == pytest.approx(31.6 * (1 / 25 + 1 / 320), rel=2e-3)
    assert "paper_drone" not in figures(forced)
    assert card_heard(forced.output) == {"drone_pitch_speed"}
    assert figures(told) == {"paper_chanterelle": "grabbed", "cotton_hold": "both"}
    assert card_heard(told.output) == {"high_keys_mute"}
    assert voicing_values({}, {}) == []


def test_the_last_ten_days_of_the_log_speak():
    rows = [[f"2026-10-{d:02d} 08:00", 70.0] for d in range(1, 21)]
    rows += [[f"2026-10-{d:02d} 08:00", 30.0] for d in range(21, 32)]

    by_rows = run("climate_log", {"rows": rows})
    csv = "time,RH %\n" + "\n".join(f"{time},{rh}" for time, rh in rows)
    by_file = run("climate_log", {"csv": csv})

    assert figures(by_rows)["rh_pct"] == figures(by_file)["rh_pct"] == pytest.approx(30.0)


@pytest.mark.parametrize(
    ("sticking", "play", "word"),
    [
        ({}, 0.2, "free"),
        ({2: "sticks", 9: "sticks"}, 0.03, "tight"),
        ({2: "sticks", 9: "slow"}, 0.2, "loose"),
        ({4: "sticks", 5: "sticks", 6: "sticks"}, 0.2, "neighbours"),
        ({7: "slow"}, None, "loose"),
    ],
)
def test_how_the_keys_come_back_in_a_word(sticking, play, word):
    keys = [
        {"key": key, "returns": sticking.get(key, "free"), "side_play_mm": play}
        for key in range(1, 12)
    ]

    (found,) = action_values({"keys": keys}, {"checks": []})

    assert (found.figure, found.value) == ("keys_return", word)
    assert action_values({"keys": [{"key": 1}]}, {}) == []
