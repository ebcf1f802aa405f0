"""The bowing window: by hand, against a simulation of its doubt, and what follows from the ear."""

import math

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.cards.bowing import force_n, impedance_kg_s, least_n, most_n, rim_m_s
from repairs.gauges.everything import gauges

G = {
    "tension_n": 66.3, "length_mm": 345.0, "pitch_hz": 392.0, "from_bridge_mm": 25.0,
    "lift_mm": 0.7, "wheel_mm": 170.0,
}  # fmt: skip
KEYS = [{"key": k, "at_mm": 345 * (1 - 2 ** (-k / 12))} for k in range(1, 24)]


def run(keys=KEYS, **more):
    given = {**G, "keys": keys, **more}
    return gauges()["bowing_window"].run({k: v for k, v in given.items() if v is not None})


def heard(**sounds):
    return [{**key, "sound": sounds.get(f"k{key['key']}")} for key in KEYS]


def test_both_limits_by_hand():
    # Schelleng 1973: Z = 0.25 kg/s, v = 0.2 m/s, β = 0.1, Δμ = 0.5, R = 25 kg/s:
    # F_max = 2·0.25·0.2/(0.1·0.5) = 2 N; F_min = 0.0625·0.2/(2·25·0.01·0.5) = 0.05 N.
    v = {
        "tension_n": 50.0, "length_mm": 250.0, "pitch_hz": 400.0, "from_bridge_mm": 25.0,
        "wheel_mm": 200.0, "turns_per_min": 60 / math.pi, "friction": 0.5, "resistance_kg_s": 25.0,
    }  # fmt: skip

    assert impedance_kg_s(v) == pytest.approx(0.25)
    assert rim_m_s(v) == pytest.approx(0.2)
    assert most_n(v) == pytest.approx(2.0)
    assert least_n(v) == pytest.approx(0.05)


def test_the_ratio_of_both_knows_neither_speed_nor_rosin():
    # F_max/F_min = 4·R·β/Z, from both formulae.
    for rpm, friction in ((40, 0.3), (60, 0.5), (120, 0.8)):
        for note in run(turns_per_min=rpm, friction=friction)["notes"]:
            ratio = note["most"]["n"] / note["least"]["n"]
            z = 66.3 / (2 * 0.345 * 392)
            assert ratio == pytest.approx(4 * 30 * note["beta"] / z, rel=1e-9)


def test_the_speed_of_the_rim_is_the_published_one():
    # Ø 170 mm, 60 turns a minute: 0.534 m/s.
    assert run()["rim_m_s"] == pytest.approx(0.534, abs=0.0005)


def test_a_key_halves_the_most_where_it_halves_the_string():
    opened, octave = run(keys=[{"key": 12, "at_mm": 172.5}])["notes"]

    assert octave["most"]["n"] == pytest.approx(opened["most"]["n"] / 2)
    assert octave["least"]["n"] == pytest.approx(opened["least"]["n"] / 4)


def drawn(note, count=20_000):
    """Both limits with every input drawn by chance (JCGM 101:2008)."""
    dice = np.random.default_rng(3)
    us = {
        "tension_n": 0.05 * 66.3, "length_mm": 0.5, "pitch_hz": 392 * 0.0005778,
        "from_bridge_mm": 0.5, "wheel_mm": 0.5, "turns_per_min": 6.0,
    }  # fmt: skip
    v = {name: dice.normal({**G, "turns_per_min": 60.0}[name], u, count) for name, u in us.items()}
    # What is known within a factor is normal in its logarithm.
    friction = 0.5 * np.exp(dice.normal(0, 0.3, count))
    resistance = 30.0 * np.exp(dice.normal(0, 0.7, count))
    z = v["tension_n"] / (2 * v["length_mm"] * 1e-3 * v["pitch_hz"])
    rim = np.pi * v["wheel_mm"] * 1e-3 * v["turns_per_min"] / 60
    beta = v["from_bridge_mm"] / (v["length_mm"] - (345.0 - note["length_mm"]))
    return 2 * z * rim / (beta * friction), z**2 * rim / (2 * resistance * beta**2 * friction)


@pytest.mark.parametrize("place", [0, 12, 23])
def test_ninety_five_of_a_hundred_lie_in_the_range(place):
    note = run()["notes"][place]

    for name, sample in zip(("most", "least"), drawn(note), strict=True):
        low, high = note[name]["low_n"], note[name]["high_n"]
        assert 0.93 <= ((low <= sample) & (sample <= high)).mean() <= 0.97


def test_high_keys_choke_first_and_a_lower_lift_or_a_faster_crank_frees_them():
    words = [note["word"] for note in run(lift_mm=3.0)["notes"]]
    order = ["speaks", "may_choke", "chokes"]

    assert words[-1] == "chokes"
    assert [order.index(word) for word in words] == sorted(order.index(word) for word in words)
    assert "chokes" not in {note["word"] for note in run(lift_mm=0.5)["notes"]}
    faster = [note["word"] for note in run(lift_mm=3.0, turns_per_min=180)["notes"]]
    assert faster.count("chokes") < words.count("chokes")


def test_a_string_that_hardly_touches_does_not_start_and_is_lowered():
    found = run(lift_mm=0.015, u_lift_mm=0.001)

    assert found["notes"][0]["word"] == "does_not_start"
    assert found["lift_wanted_mm"] > 0.015
    assert found["string_up_mm"] < 0


def test_the_lift_to_go_to_gives_both_ends_their_force():
    found = run(lift_mm=3.0)

    least, most = found["lift_least_mm"], found["lift_most_mm"]
    v = {**G, "turns_per_min": 60.0, "friction": 0.5, "resistance_kg_s": 30.0}
    assert force_n({**v, "lift_mm": most}) == pytest.approx(most_n(v, KEYS[-1]["at_mm"]), rel=2e-3)
    assert force_n({**v, "lift_mm": least}) == pytest.approx(least_n(v), rel=2e-3)
    assert least < found["lift_wanted_mm"] < most
    assert found["string_up_mm"] == pytest.approx((3.0 - found["lift_wanted_mm"]) * 345 / 320)


def test_the_ear_tells_the_lift_without_friction_and_speed():
    # Key 15 speaks, key 16 chokes: key 15's length bears this force, key 23's 2^(−8/12) of it.
    sounds = {"k15": "speaks", "k16": "chokes"}
    found = run(keys=heard(**sounds), lift_mm=1.2)

    assert found["by_ear"]
    assert found["lift_wanted_mm"] == pytest.approx(1.2 * 2 ** (-8 / 12))
    other = run(keys=heard(**sounds), lift_mm=1.2, friction=0.9, turns_per_min=100)
    assert other["lift_wanted_mm"] == pytest.approx(found["lift_wanted_mm"])
    # The change is a share of a lift that is known to 0.1 mm.
    assert found["u_string_up_mm"] == pytest.approx(0.1 * (1 - 2 ** (-8 / 12)) * 345 / 320)


def test_a_string_whose_highest_key_speaks_is_left_alone():
    found = run(keys=heard(k23="speaks"), lift_mm=3.0)

    assert (found["lift_wanted_mm"], found["string_up_mm"]) == (None, None)


def test_without_a_lift_nothing_is_judged():
    found = run(lift_mm=None)

    assert {note["word"] for note in found["notes"]} == {"not_judged"}
    assert (found["force_n"], found["lift_wanted_mm"], found["serves"]) == (None, None, False)


def test_keys_beyond_a_fifth_are_marked():
    assert [n["far"] for n in run()["notes"]] == [n["beta"] > 0.2 for n in run()["notes"]]
    assert run()["notes"][-1]["far"]


@pytest.mark.parametrize(
    ("change", "code", "field", "row"),
    [
        ({"tension_n": None}, "missing", "tension_n", None),
        ({"pitch_hz": "g"}, "not_a_number", "pitch_hz", None),
        ({"length_mm": 10_000}, "too_big", "length_mm", None),
        ({"lift_mm": -0.7}, "too_small", "lift_mm", None),
        ({"wheel_mm": 17}, "too_small", "wheel_mm", None),
        ({"from_bridge_mm": 180}, "too_big", "from_bridge_mm", None),
        ({"keys": []}, "too_few", "keys", None),
        ({"keys": [KEYS[1], KEYS[0]]}, "not_rising", "key", 2),
        ({"keys": [KEYS[0], {"key": 2, "at_mm": 5}]}, "not_rising", "at_mm", 2),
        ({"keys": [KEYS[0], KEYS[0]]}, "twice", "key", 2),
        ({"keys": [{"key": 1.5, "at_mm": 20}]}, "not_whole", "key", 1),
        ({"keys": [{"key": 1, "at_mm": 330}]}, "too_big", "at_mm", 1),
        ({"keys": [{"key": 1, "at_mm": 20, "sound": "sings"}]}, "unknown", "sound", 1),
        ({"keys": [{"key": 1}]}, "missing", "at_mm", 1),
        ({"wheel": 170}, "unknown", "input", None),
    ],
)
def test_what_cannot_be_is_refused_by_field_and_row(change, code, field, row):
    with pytest.raises(GaugeInputError) as refused:
        run(**{"keys": KEYS, **change})

    assert (refused.value.code, refused.value.field, refused.value.row) == (code, field, row)
