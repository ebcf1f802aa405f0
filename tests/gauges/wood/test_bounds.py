"""Where a rule of wood turns over: exactly there, and just beside it."""

import math

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.gauges.wood.clamps import PRESSURES_MPA, clamp_force
from repairs.gauges.wood.cleats import Bar, cleats
from repairs.gauges.wood.closing import Air, crack_closing, drying_risk, rh_to_close
from repairs.gauges.wood.movement import movement
from repairs.gauges.wood.species import grain

SPRUCE = grain("norway_spruce", "radial")


def test_a_crack_of_two_cleats_takes_two_and_a_shorter_one_takes_one():
    assert cleats(20.0).places_mm == (5.0, 15.0)
    assert cleats(20.0).notes == ()
    short = cleats(19.9)
    assert (short.count, short.places_mm, short.notes) == (1, (9.95,), ("short",))
    assert short.spacing_mm is None


def test_a_cleat_is_ten_millimetres_by_two_unless_said_otherwise():
    usual = cleats(100.0)

    assert (usual.size_mm, usual.thickness_mm) == (10.0, 2.0)
    assert gauges()["cleats"].run({"crack_mm": 100})["thickness_mm"] == 2.0
    assert gauges()["cleats"].run({"crack_mm": 100})["size_mm"] == 10.0


@pytest.mark.parametrize(
    ("crack", "places"),
    [
        (70.0, (5.0, 65.0)),  # one step of 60
        (71.0, (5.0, 35.5, 66.0)),  # 61 would be too wide: two of 30.5, closer than usual
        (90.0, (5.0, 45.0, 85.0)),  # two of 40
        (110.0, (5.0, 55.0, 105.0)),  # two of 50
        (160.0, (5.0, 55.0, 105.0, 155.0)),  # three of 50
    ],
)
def test_the_steps_between_cleats_are_forty_to_sixty(crack, places):
    found = cleats(crack)

    assert found.places_mm == pytest.approx(places)
    assert found.count == len(places)
    assert found.spacing_mm == pytest.approx(places[1] - places[0])
    assert found.notes == (("closer",) if crack == 71.0 else ())


def test_a_bar_takes_the_place_of_the_cleat_that_it_would_meet():
    # The first cleat would stand at 5, half of bar and cleat together are 9 mm.
    beside, met = cleats(110, bars=(Bar(14.0, 8.0),)), cleats(110, bars=(Bar(13.9, 8.0),))

    assert 5.0 in beside.places_mm
    assert "bar_instead" not in beside.notes
    assert 5.0 not in met.places_mm
    assert "bar_instead" in met.notes


def test_clamps_are_counted_up_and_at_least_one():
    assert clamp_force(1000, (0.7, 1.0), clamp_n=350).clamps == 2
    assert clamp_force(1000, (0.7, 1.0), clamp_n=349).clamps == 3
    assert clamp_force(1000, (0.0, 0.1), clamp_n=350).clamps == 1
    doubt = clamp_force(1000, (0.7, 1.0), u_area_mm2=10)
    assert doubt.u_force_low_n == pytest.approx(7)
    assert doubt.u_force_high_n == pytest.approx(10)


@pytest.mark.parametrize(
    ("wood", "ends"), [("light", (0.7, 1.0)), ("dense", (1.2, 1.7)), ("contact", (0.0, 0.1))]
)
def test_pressures_of_the_trade(wood, ends):
    # 0.7 MPa is 100 psi, 1.7 MPa 250 psi: light and dense wood in the Handbook.
    assert PRESSURES_MPA[wood][:2] == ends


@pytest.mark.parametrize(
    ("sizes", "notes"),
    [
        ((400, 60, 16), []),  # 25 times as long as thick
        ((400, 60, 16.1), ["thick_for_its_length"]),
        ((400, 200, 3), []),
        ((400, 201, 3), ["wide_for_its_length"]),
        ((400, 3, 3), []),
        ((400, 3, 3.1), ["taller_than_wide"]),
    ],
)
def test_notes_of_a_strip_begin_where_they_should(sizes, notes):
    length, width, thickness = sizes
    mass = 0.42 * length * width * thickness / 1e3
    f = 92 * thickness / 2.8

    got = gauges()["tap_tone"].run(
        {
            "mass_g": mass,
            "length_mm": length,
            "width_mm": width,
            "thickness_mm": thickness,
            "f_hz": f,
        }
    )

    assert got["notes"] == notes


@pytest.mark.parametrize(
    ("first", "last", "equation"),
    [
        (6.0, 14.0, "linear"),
        (14.0, 6.0, "linear"),
        (5.9, 10.0, "shrinkage"),
        (10.0, 14.1, "shrinkage"),
    ],
)
def test_the_linear_equation_holds_from_six_to_fourteen_per_cent(first, last, equation):
    assert movement(200, SPRUCE, first, last).equation == equation


def test_above_fibre_saturation_nothing_moves():
    assert movement(200, SPRUCE, 35, 90).change_mm == 0.0
    wet, full = movement(200, SPRUCE, 10, 45), movement(200, SPRUCE, 10, 30)
    assert wet.change_mm == pytest.approx(full.change_mm)


@pytest.mark.parametrize(
    ("used_to", "now", "risk"),
    [
        (50.0, 50.0, "no_drying"),
        (50.0, 55.0, "no_drying"),
        (50.0, 49.5, "unlikely"),
        (50.0, 45.0, "unlikely"),
        (70.0, 45.0, "becoming_probable"),  # 25 % less: the limit itself is doubtful
        (80.0, 30.0, "becoming_probable"),  # 50 % less
        (80.0, 29.9, "probable"),
    ],
)
def test_what_one_drop_of_humidity_risks(used_to, now, risk):
    found = drying_risk(used_to, now, held=True)

    assert found.risk == risk
    assert found.drop_rh_pct == pytest.approx(used_to - now)
    assert found.u_drop_rh_pct == pytest.approx(2.0 * math.sqrt(2.0))


def test_what_is_not_held_is_free_and_what_is_not_known_is_not_judged():
    assert drying_risk(60, 30, held=False).risk == "free"
    assert drying_risk(60, 30, held=None).risk == "not_judged"
    assert drying_risk(None, 30, held=True).risk == "not_judged"
    assert (drying_risk(60, 24.9, held=True).below_25, drying_risk(60, 25, held=True).below_25) == (
        True,
        False,
    )


def test_the_humidity_that_closes_a_crack_does_close_it():
    air = Air(20, 38, 20, 52)
    rh = rh_to_close(180, SPRUCE, air, 0.3)
    assert rh is not None

    there = crack_closing(180, SPRUCE, Air(20, 38, 20, rh), gap_mm=0.3)
    assert there.left_mm == pytest.approx(0.0, abs=1e-9)
    assert rh_to_close(180, SPRUCE, air, 40.0) is None
    found = crack_closing(180, SPRUCE, air, gap_mm=0.3)
    assert found.u_left_mm == pytest.approx(math.hypot(found.u_closing_mm, 0.05))
    assert found.left_mm == pytest.approx(0.3 - found.closing_mm)


def test_strain_and_its_doubt_are_parts_of_the_width():
    moved = movement(250, SPRUCE, 10, 12, u_size_mm=1.0)

    # 250 · 0.00133 · 2 = 0.665 mm (the table's coefficient of Norway spruce), 0.266 %.
    assert moved.change_mm == pytest.approx(250 * SPRUCE.c_per_pct * 2)
    assert moved.strain_pct == pytest.approx(100 * moved.change_mm / 250)
    assert moved.u_strain_pct == pytest.approx(100 * moved.u_change_mm / 250)
    assert moved.final_mm == pytest.approx(250 + moved.change_mm)


def test_a_strip_stiffer_than_any_wood_is_a_figure_typed_wrongly():
    strip = {"mass_g": 28.4, "length_mm": 400, "width_mm": 60, "thickness_mm": 2.8, "f_hz": 400}

    with pytest.raises(GaugeInputError, match=r"e_gpa is .* more than 60 "):
        gauges()["tap_tone"].run(strip)
