"""What is warned of, exactly where it begins; and nothing else beside it."""

import math

import pytest

from repairs.gauges.wheel import gauge as wheel
from tests.gauges.wheel.wheel_shapes import off_axle, turn


def warnings(count=24, shape=off_axle, missing=(), **more):
    case = turn(shape, count=count, **more)
    for place in missing:
        case["readings_mm"][place] = None
    return wheel.run(case)["warnings"]


@pytest.mark.parametrize(
    ("count", "said"),
    [
        # Five lobes need eleven places; noise inflates nothing any more, however many were read.
        (8, ["too_few_places"]),
        (10, ["too_few_places"]),
        (11, []),
        (24, []),
        (72, []),
    ],
)
def test_few_places_cannot_resolve_five_lobes(count, said):
    assert warnings(count) == said


@pytest.mark.parametrize(
    ("missing", "said"),
    [
        (range(0, 24, 3), []),  # 8 of 24 are a third
        ([*range(0, 24, 3), 4], ["many_gaps"]),
        # Eight steps of 15° are 120°, in which five lobes may hide.
        (range(7), ["too_few_places"]),
        (range(8), ["too_few_places", "wide_gap", "fewer_harmonics"]),
        (range(3, 10), ["too_few_places", "fewer_harmonics"]),
        # Across the mark.
        ([0, 1, 2, 3, 20, 21, 22, 23], ["too_few_places", "wide_gap", "fewer_harmonics"]),
    ],
)
def test_more_than_a_third_is_missing_or_left_open(missing, said):
    assert warnings(missing=missing) == said


@pytest.mark.parametrize(("ecc", "said"), [(0.1999, []), (0.2001, ["large_eccentricity"])])
def test_an_offset_of_more_than_a_fifth_of_a_millimetre(ecc, said):
    def shape(angle):
        return ecc * math.cos(angle)

    found = wheel.run(turn(shape))

    assert found["warnings"] == said
    assert (found["plane_mz_roundness_mm"] is None) == (not said)


def test_the_noise_is_assumed_when_it_is_not_said():
    assert warnings(gauge_sigma_mm=None) == ["noise_assumed"]
    assert warnings(gauge_sigma_mm=0.005) == []


def test_more_noise_than_said():
    rough = warnings(16, lambda t: off_axle(t) + 0.0085 * math.cos(7 * t))

    assert rough == ["more_than_noise_left"]


@pytest.mark.parametrize(
    ("times", "said"),
    [(1.9, ["angle_not_sure"]), (2.1, [])],  # standard uncertainties: 0.005·√(2/24) each
)
def test_a_direction_is_sure_from_twice_its_doubt(times, said):
    ecc = times * 0.005 * math.sqrt(2 / 24)

    found = wheel.run(turn(lambda t: ecc * math.cos(t) + 0.1 * math.cos(2 * t)))

    assert found["warnings"] == said
    assert (found["high_spot_deg"] is None) == bool(said)
    assert (found["lsc_high_spot_deg"] is None) == bool(said)


def test_readings_of_a_short_arc_say_next_to_nothing():
    found = wheel.run(turn(lambda t: 3 * off_axle(t), 72) | {"readings_mm": arc(12)})

    assert found["warnings"] == [
        "too_few_places",
        "many_gaps",
        "wide_gap",
        "uneven_places",
        "fewer_harmonics",
        "no_inscribed_circle",
        "large_eccentricity",
    ]
    assert found["widest_gap_deg"] == pytest.approx(305)
    assert found["mic_diameter_mm"] is None
    assert found["plane_mz_roundness_mm"] is None
    assert found["oval_amp_mm"] is None
    assert found["action"] == "not_judged"


def arc(count):
    """Readings of the first places of 72 only."""
    return [3 * off_axle(math.radians(5 * place)) if place < count else None for place in range(72)]


def test_a_large_offset_read_on_half_a_turn_has_no_figures_of_the_plane():
    case = turn(lambda t: 4 * off_axle(t))
    case["readings_mm"][12:] = [None] * 12

    found = wheel.run(case)

    assert found["lsc_ecc_mm"] > 0.2
    assert (found["plane_mz_roundness_mm"], found["plane_recentred_diameter_left_mm"]) == (
        None,
        None,
    )
