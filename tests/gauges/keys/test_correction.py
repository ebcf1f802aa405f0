"""Correction of tangents: cases worked by hand, robust scale, conflicts."""

from __future__ import annotations

import math

import pytest

from repairs.gauges.keys import gauge as correction_gauge
from repairs.gauges.keys.temperament import TEMPERAMENTS
from tests.gauges.keys.asking import one_key, run

JUST = TEMPERAMENTS["just"]
assert correction_gauge.CORRECTION.name == "correction"


def test_by_hand_an_octave_5_cents_sharp():
    # 2^(−5/1200) = e^(−0.002888113) = 1 − 0.002888113 + 0.000004171 = 0.997116054
    # as it is  x = 345·(1 − 0.997116054/2) = 345·0.501441973 = 172.997481
    # wanted    x = 345·(1 − 1/2)                            = 172.500000
    # move 0.497481 mm towards the nut. Flag 3 mm: sin φ = −0.165827,
    # φ = −(0.165827 + 0.165827³/6 + 3·0.165827⁵/40) = −0.166596 rad = −9.5453°
    # cos φ = √(1 − 0.027499) = 0.986155; contact 3·(0.986155 − 1) = −0.041536 mm, further away.
    key = one_key(keys=[12], measured_cents=[1205], offset_mm=3)

    assert key["move_mm"] == pytest.approx(-0.497481, abs=2e-6)
    assert key["turn_deg"] == pytest.approx(-9.5453, abs=2e-4)
    assert key["lateral_mm"] == pytest.approx(-0.041536, abs=2e-6)
    assert key["verdict"]["word"] == "outside"
    assert key["action"] == "turn"


def test_by_hand_a_fifth_3_cents_flat_with_a_small_flag():
    # A fifth leaves 2/3: wanted x = 345/3 = 115, 230 mm to the bridge.
    # 3 cents flat leave 230·e^(0.001732868) = 230·1.001734370 = 230.398905, x = 114.601095
    # move +0.398905 mm. Flag 1 mm: asin 0.398905 = 0.398905 + 0.0105793 + 0.0007576 + 0.0000718
    # + 0.0000078 + 0.0000009 + 0.0000001 = 0.4103225 rad = 23.5097°
    # cos = √(1 − 0.159125) = 0.916993, contact −0.083007 mm.
    key = one_key(keys=[7], measured_cents=[701.955 - 3], offset_mm=1)

    assert key["move_mm"] == pytest.approx(0.398905, abs=2e-6)
    assert key["turn_deg"] == pytest.approx(23.5097, abs=2e-4)
    assert key["lateral_mm"] == pytest.approx(-0.083007, abs=2e-6)


def test_by_hand_beyond_the_flags_reach_is_a_new_pin():
    # Second octave of 360 mm: 90 mm to the bridge. 6 cents sharp leave
    # 90·e^(−0.003465736) = 90·0.996540263 = 89.688624; move −0.311376 mm.
    # A flag of 0.3 mm would want sin φ = −1.0379, which no turn gives.
    key = one_key(length_mm=360, keys=[24], measured_cents=[2406], offset_mm=0.3)

    assert key["move_mm"] == pytest.approx(-0.311376, abs=2e-6)
    assert key["turn_deg"] is None
    assert key["action"] == "re_pin"


def test_by_hand_a_flag_that_is_turned_already():
    # First key of twelve equal steps: 345·0.943874313 = 325.636638 mm to the bridge.
    # 4 cents flat: ·e^(0.0023104906) = ·1.002313162, 326.389888 mm; move +0.753250 mm.
    # The flag of 2 mm stands at 20°: sin φ = 0.342020 + 0.376625 = 0.718645, φ = 45.9427°
    # (sin 45.9° = 0.718126, cos 45.9° = 0.695913, 0.000519/0.695913 rad = 0.0427°).
    # Turn 25.9427°; contact 2·(√(1 − 0.516451) − 0.939693) = 2·(0.695377 − 0.939693) = −0.48863.
    # The usual end at 45° forbids it.
    asked = {
        "temperament": "equal", "keys": [1], "measured_cents": [96], "offset_mm": 2,
        "turn_deg": 20, "u_cents": 0.1, "limits": {"other_cents": {"lower": -3, "upper": 3}},
    }  # fmt: skip

    free = one_key(**asked, most_turn_deg=60)
    usual = one_key(**asked)

    assert free["move_mm"] == pytest.approx(0.753250, abs=2e-6)
    assert free["turn_deg"] == pytest.approx(25.9427, abs=3e-4)
    assert free["lateral_mm"] == pytest.approx(-0.48863, abs=1e-5)
    assert free["action"] == "turn"
    # At 45° the note is 0.2 cents flat, surely within 3: no new pin for that. Where only 0.4 would
    # do, a pin it is.
    assert usual["action"] == "turn" and 24.0 < usual["turn_deg"] <= 25.0
    narrow = one_key(**asked | {"limits": {"other_cents": {"lower": -0.3, "upper": 0.3}}})
    assert narrow["turn_deg"] is None and narrow["action"] == "re_pin"


# A keybox laid out for 345 mm, its bridge 2 mm too far from the nut. Each tangent stands where
# 345/r of the string would be left, so 345/r + 2 is left of 347; worked out one by one:
# 9/8 leaves 308.6667, 5/4 278, 4/3 260.75, 3/2 232, 5/3 209, 15/8 186, 2 174.5, 9/4 155.3333,
# 5/2 140, 3 117, 4 88.25; and 1200·log₂ of 347 over each, from a table of logarithms:
FAR_KEYS = [2, 4, 5, 7, 9, 11, 12, 14, 16, 19, 24]
FAR_CENTS = [
    202.6632, 383.8209, 494.7221, 696.9730, 877.7193, 1079.5596, 1190.0504, 1391.4819, 1571.4106,
    1882.1126, 2370.3210,
]  # fmt: skip


def test_by_hand_a_bridge_2_mm_too_far_is_found_and_no_tangent_blamed():
    answer = run(keys=FAR_KEYS, measured_cents=FAR_CENTS)

    string = answer["strings"][0]
    assert string["fit"]["explanation"] == "bridge"
    assert string["fit"]["bridge_mm"] == pytest.approx(2.0, abs=0.001)
    assert string["fit"]["effective_length_mm"] == pytest.approx(347.0, abs=0.001)
    assert string["fit"]["scale_wrong_pct"] > 99.9
    assert string["basis"] == "after_scale"
    assert string["wrong_keys"] == []
    assert max(abs(k["off_after_cents"]) for k in string["keys"]) < 0.01
    (first,) = answer["first"]
    assert (first["code"], first["string"]) == ("move_bridge", "1")
    assert first["amount"] == pytest.approx(-2.0, abs=0.001)


def test_by_hand_one_wrong_tangent_besides_is_the_only_one_blamed():
    # The fifth stands 1 mm too near the bridge as well: 231 of 347 left of 345/1.5 + 2 − 1,
    # 1200·log₂(347/231) = 704.4514. After the bridge it is 1 mm: 1200·log₂(230/229) = 7.5437 sharp.
    cents = list(FAR_CENTS)
    cents[3] = 1200 * math.log2(347 / 231)
    assert cents[3] == pytest.approx(704.4514, abs=0.0001)

    string = run(keys=FAR_KEYS, measured_cents=cents, offset_mm=3)["strings"][0]

    assert string["fit"]["bridge_mm"] == pytest.approx(2.0, abs=0.001)
    assert string["fit"]["set_aside"] == [7]
    assert string["wrong_keys"] == [7]
    fifth = string["keys"][3]
    # 7.478 is read, not 7.544: of the 232 mm that are left now, 1 mm is 7.478 cents.
    assert fifth["off_after_cents"] == pytest.approx(1200 * math.log2(232 / 231), abs=0.01)
    assert fifth["move_after_mm"] == pytest.approx(-0.991, abs=0.002)
    assert fifth["action"] == "turn"


def test_by_hand_a_nut_1_mm_too_near_makes_everything_flat_alike():
    # Tangents and bridge are right: 345/r is left, but the open string has only 344 mm, so every
    # interval to it is 1200·log₂(345/344) = 1731.234·0.00290276 = 5.0254 cents too small.
    keys = [2, 4, 5, 7, 9, 11, 12]
    cents = [JUST.at(k) - 5.0254 for k in keys]

    answer = run(keys=keys, measured_cents=cents)

    fit = answer["strings"][0]["fit"]
    assert fit["explanation"] == "nut"
    assert fit["nut_mm"] == pytest.approx(1.0, abs=0.001)
    assert fit["bridge_mm"] is None
    assert answer["first"][0]["code"] == "move_nut"
    assert answer["first"][0]["amount"] == pytest.approx(-1.0, abs=0.001)


def test_by_hand_a_fixed_double_tangent_can_only_share_the_error():
    # First string 5 cents sharp at the octave (−0.497481 mm, above), second right: the piece goes
    # halfway, −0.248741. First: 172.002519 + 0.248741 = 172.251260 mm left,
    # 1731.234·ln(172.5/172.251260) = +2.4982; second: 172.748741 mm left,
    # 1731.234·ln(172.5/172.748741) = −2.4946.
    strings = [{"name": "a", "measured_cents": [1205]}, {"name": "b", "measured_cents": [1200]}]

    (conflict,) = run(keys=[12], strings=strings, fixed_double=True)["conflicts"]

    assert conflict["code"] == "fixed_double" and conflict["strings"] == ["a", "b"]
    assert conflict["common_mm"] == pytest.approx(-0.248741, abs=2e-6)
    assert conflict["left_cents"] == pytest.approx([2.4982, -2.4946], abs=2e-4)


def test_by_hand_a_turned_flag_is_met_later_than_its_neighbour():
    # 173.1 mm left at the octave, 0.6 too many: 1200 − 1731.234·ln(173.1/172.5) = 1193.98877 cents.
    # A flag of 1 mm goes to sin φ = 0.6: the 3-4-5 triangle, 36.8699°, and draws back 1 − 0.8 mm.
    strings = [
        {"name": "a", "measured_cents": [1193.98877], "offset_mm": 1, "gap_mm": 1.5},
        {"name": "b", "measured_cents": [1200.2], "offset_mm": 1, "gap_mm": 1.5},
    ]

    answer = run(keys=[12], strings=strings, u_offset_mm=0.02)

    key = answer["strings"][0]["keys"][0]
    assert key["turn_deg"] == pytest.approx(36.8699, abs=2e-4)
    assert key["lateral_mm"] == pytest.approx(-0.2, abs=2e-6)
    (conflict,) = answer["conflicts"]
    assert conflict["code"] == "not_together"
    assert conflict["apart_mm"] == pytest.approx(0.2, abs=2e-6)


def test_a_gap_that_makes_up_for_the_turn_is_no_conflict():
    strings = [
        {"name": "a", "measured_cents": [1193.98877], "offset_mm": 1, "gap_mm": 1.3},
        {"name": "b", "measured_cents": [1200.2], "offset_mm": 1, "gap_mm": 1.5},
    ]

    answer = run(keys=[12], strings=strings, u_offset_mm=0.001, u_cents=0.05)

    assert answer["conflicts"] == []
