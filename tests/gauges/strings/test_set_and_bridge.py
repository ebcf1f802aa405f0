"""Break angles and the force on a bridge; what a set adds up, row by row."""

import math

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges

STRING = {"length_mm": 345.0, "pitch_hz": 196.0, "mass_g_m": 1.0, "u_length_mm": 0}


def downforce(**given):
    return gauges()["downforce"].run({"tension_n": 50, **given})


def string_set(*strings, **more):
    return gauges()["string_set"].run({"strings": list(strings), **more})


@pytest.mark.parametrize(
    ("angles", "force"),
    [
        ({"speaking_deg": 30, "after_deg": 30}, 50.0),
        ({"break_deg": 60}, 50.0),
        ({"speaking_deg": 0, "after_deg": 30}, 25.0),
        ({"speaking_deg": 30, "after_deg": 0}, 25.0),
        ({"speaking_deg": -10, "after_deg": 60}, 34.6188),  # 50·(0.866025 − 0.173648)
        ({"speaking_deg": 60, "after_deg": -10}, 34.6188),
        ({"break_deg": 120}, 86.6025),
        ({"break_deg": 0}, 0.0),
    ],
)
def test_both_sides_press_by_the_sines_of_their_angles(angles, force):
    assert downforce(**angles)["downforce_n"] == pytest.approx(force, abs=1e-4)


@pytest.mark.parametrize(
    ("given", "u"),
    [
        # By hand: one angle by half a degree, 50·cos 30°·0.5·π/180 = 0.377873; two by √2 of it.
        ({"speaking_deg": 30, "after_deg": 30}, 0.534393),
        ({"speaking_deg": 30, "after_deg": 30, "u_angle_deg": 1}, 1.068786),
        ({"speaking_deg": 30, "after_deg": 30, "u_angle_deg": 0}, 0.0),
        ({"break_deg": 60}, 0.377873),
        ({"break_deg": 60, "u_angle_deg": 0, "u_tension_n": 1.5}, 1.5),
        ({"break_deg": 60, "u_tension_n": 1}, math.hypot(0.377873, 1)),
    ],
)
def test_the_force_is_as_doubtful_as_its_angles_and_the_tension(given, u):
    assert downforce(**given)["u_downforce_n"] == pytest.approx(u, rel=1e-4, abs=1e-12)


def test_the_force_on_a_bridge_is_judged_by_the_limit_of_the_house():
    limits = {"downforce_n": {"upper": 49}}

    assert downforce(break_deg=60)["verdict"]["word"] == "not_judged"
    assert downforce(break_deg=60, limits=limits)["verdict"]["word"] == "outside"


@pytest.mark.parametrize(
    ("given", "code", "field"),
    [
        ({}, "missing", "break_deg"),
        ({"u_angle_deg": 1}, "missing", "break_deg"),
        ({"speaking_deg": 5}, "missing", "after_deg"),
        ({"after_deg": 5}, "missing", "speaking_deg"),
        ({"speaking_deg": -10.1, "after_deg": 5}, "too_small", "speaking_deg"),
        ({"speaking_deg": 5, "after_deg": 60.1}, "too_big", "after_deg"),
        ({"break_deg": -0.1}, "too_small", "break_deg"),
        ({"break_deg": 120.1}, "too_big", "break_deg"),
        ({"break_deg": 10, "u_angle_deg": 20.1}, "too_big", "u_angle_deg"),
        ({"break_deg": 10, "u_angle_deg": -0.1}, "too_small", "u_angle_deg"),
        ({"break_deg": 10, "u_tension_n": 50.1}, "too_big", "u_tension_n"),
        ({"break_deg": 10, "tension_n": 0.04}, "too_small", "tension_n"),
        ({"break_deg": 10, "bridge": "a"}, "unknown", "input"),
    ],
)
def test_angles_that_no_bridge_has_are_refused(given, code, field):
    with pytest.raises(GaugeInputError) as refusal:
        downforce(**given)

    assert (refusal.value.code, refusal.value.field) == (code, field)


@pytest.mark.parametrize("angles", [{"speaking_deg": 5}, {"after_deg": 5}])
def test_a_break_angle_is_given_whole_or_by_its_sides(angles):
    with pytest.raises(GaugeInputError) as refusal:
        downforce(break_deg=10, **angles)

    assert (refusal.value.code, refusal.value.details["value"]) == ("needs_one", 2)


# ---- sets


def test_a_set_adds_tensions_and_their_doubts():
    # By hand: 0.001 · (0.69 · 196)² = 18.28980 N, doubtful by 1 % of mass and twice one cent.
    found = string_set(STRING, {**STRING, "name": "drone", "mass_g_m": 4})

    u = 18.2898 * math.hypot(0.01, 2 * 0.0005778)
    assert found["load_n"] == pytest.approx(5 * 18.2898, abs=0.001)
    assert found["u_load_n"] == pytest.approx(u * math.sqrt(17), rel=1e-4)
    assert found["load_kgf"] == pytest.approx(5 * 18.2898 / 9.80665, rel=1e-5)
    assert [one["name"] for one in found["strings"]] == ["1", "drone"]
    assert [one["bridge"] for one in found["strings"]] == ["bridge", "bridge"]
    assert [one["downforce_n"] for one in found["strings"]] == [None, None]
    assert found["bridges"] == []


def test_each_bridge_bears_its_own_strings_in_their_order():
    exact = {**STRING, "u_pitch_hz": 0, "u_mass_g_m": 0}
    found = string_set(
        {**exact, "bridge": "melody", "break_deg": 60},
        {**exact, "bridge": "drone", "break_deg": 60, "u_angle_deg": 0},
        {**exact, "bridge": "melody", "speaking_deg": 0, "after_deg": 30},
        {**exact, "bridge": "melody"},
        limits={"downforce_n": {"upper": 20}, "load_n": {"upper": 100}},
    )

    # By hand: 18.2898 N at 60° is as much on the bridge, at 0° and 30° half of it. A half degree
    # is 0.0087266: cos 30° of it for the first, √(1 + ¾) of it for the other.
    melody, drone = found["bridges"]
    assert [melody["bridge"], drone["bridge"]] == ["melody", "drone"]
    assert (melody["strings"], drone["strings"]) == (2, 1)
    assert melody["downforce_n"] == pytest.approx(1.5 * 18.2898, abs=0.001)
    u = 18.2898 * 0.0087266 * math.sqrt(0.75 + 1.75)
    assert melody["u_downforce_n"] == pytest.approx(u, rel=1e-4)
    assert (drone["downforce_n"], drone["u_downforce_n"]) == (pytest.approx(18.2898, abs=1e-4), 0)
    assert (melody["verdict"]["word"], drone["verdict"]["word"]) == ("outside", "inside")
    assert found["load"]["word"] == "inside"


def test_strings_that_lie_flat_press_on_nothing():
    flat = {**STRING, "break_deg": 0, "u_angle_deg": 0}

    (bridge,) = string_set(flat, flat)["bridges"]

    assert (bridge["strings"], bridge["downforce_n"], bridge["u_downforce_n"]) == (2, 0, 0)


def test_long_names_are_cut_at_sixty_letters():
    (one,) = string_set({**STRING, "name": "n" * 61, "bridge": "b" * 61})["strings"]

    assert (one["name"], one["bridge"]) == ("n" * 60, "b" * 60)


def test_a_set_holds_one_to_sixty_strings():
    assert len(string_set(*[STRING] * 60)["strings"]) == 60
    for count, code in ((0, "too_few"), (61, "too_many")):
        with pytest.raises(GaugeInputError) as refusal:
            string_set(*[STRING] * count)
        assert (refusal.value.code, refusal.value.field) == (code, "strings")


@pytest.mark.parametrize(
    ("second", "code", "field"),
    [
        ({"length_mm": 345, "pitch_hz": 9, "tension_n": 900}, "too_big", "mass_g_m"),
        ({**STRING, "u_pitch_hz": 197}, "too_big", "u_pitch_hz"),
        ({**STRING, "pitch_hz": 7.9}, "too_small", "pitch_hz"),
        ({**STRING, "break_deg": 121}, "too_big", "break_deg"),
        ({**STRING, "speaking_deg": 61, "after_deg": 1}, "too_big", "speaking_deg"),
        ({**STRING, "break_deg": 1, "u_angle_deg": 21}, "too_big", "u_angle_deg"),
        ({**STRING, "core_material": "gut", "core_mm": 9}, "too_big", "core_mm"),
        ({**STRING, "core_material": "silver_wound", "core_mm": 1}, "unknown", "core_material"),
        ({**STRING, "tension_n": 5}, "leave_one", None),
        ({**STRING, "diameter_mm": 1, "density_kg_m3": 1300}, "needs_one", None),
    ],
)
def test_a_refusal_names_the_row_of_the_set(second, code, field):
    with pytest.raises(GaugeInputError) as refusal:
        string_set(STRING, second)

    assert (refusal.value.code, refusal.value.row) == (code, 2)
    assert field is None or refusal.value.field == field
