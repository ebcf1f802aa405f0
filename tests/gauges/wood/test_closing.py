"""A crack in other air, its splint, and its risk: figures by hand, notes just where they begin."""

from __future__ import annotations

import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.base.verdict import Limit
from repairs.gauges.everything import gauges
from repairs.gauges.wood.closing import Air, crack_closing, drying_risk, rh_to_close
from repairs.gauges.wood.joints import crack_joint
from repairs.gauges.wood.moisture import emc, emc_pct, emc_slope, rh_for_emc
from repairs.gauges.wood.movement import movement, shrinkage_change_mm
from repairs.gauges.wood.species import Grain, grain, shrinkage_from_coefficient

SPRUCE = grain("engelmann_spruce", "radial")
FIBRE = Grain(0.002, shrinkage_from_coefficient(0.002), 0.15, "typed", False)


def test_the_slope_of_the_moisture_at_dry_at_damp_and_between():
    # By the derivative of Eq. 4-5 at 20 °C: 0.2698 in dry air, 1.1955 in saturated air; there the
    # difference over the last tenth is 0.45 % less. Between, the table: (10.101 − 8.485)/10.
    assert emc_slope(20, 0) == pytest.approx(0.2698, abs=0.001)
    assert emc_slope(20, 100) == pytest.approx(1.190, abs=0.003)
    assert emc_slope(20, 50) == pytest.approx(0.1616, abs=0.002)


def test_what_saturated_air_gives_is_given_at_a_hundred_per_cent():
    most = emc_pct(20, 100)

    assert rh_for_emc(20, most) == pytest.approx(100.0, abs=1e-9)
    with pytest.raises(GaugeInputError, match=rf"at 20 °C wood settles at {most:.1f} %"):
        rh_for_emc(20, most + 1e-6)
    assert rh_for_emc(20, 0) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("t_c", "rh", "field"),
    [(-2.1, 50, "t_c"), (130.1, 50, "t_c"), (20, -0.1, "rh_pct"), (20, 100.1, "rh_pct")],
)
def test_air_beyond_the_table_is_refused(t_c, rh, field):
    with pytest.raises(GaugeInputError) as refused:
        emc(t_c, rh)

    assert refused.value.field == field
    assert (emc(-2, 0).emc_pct, emc(130, 0).rh_pct) == (0.0, 0.0)


@pytest.mark.parametrize("moisture", [-0.1, 100.1])
def test_moisture_that_no_wood_has_from_air_is_refused(moisture):
    with pytest.raises(GaugeInputError) as refused:
        rh_for_emc(20, moisture)

    assert (refused.value.field, refused.value.code[:4]) == ("emc_pct", "too_")


def test_a_typed_moisture_and_one_by_the_air_bring_their_own_doubt():
    # C 0.002 on 100 mm: 0.2 mm for each per cent. From 8 to 9.27114 %: 0.254228 mm; trees
    # 0.15·0.254228 = 0.038134; typed 0.5 and by the air 0.66107: 0.2·√(0.25 + 0.437014) = 0.165772.
    # √(0.0014542 + 0.0274804) = 0.170102.
    asked = {"width_mm": 100, "c_per_pct": 0.002, "from_mc_pct": 8, "to_rh_pct": 50}

    found = gauges()["movement"].run(asked)

    assert found == gauges()["movement"].run({**asked, "t_c": 20})
    assert (found["from_mc_pct"], found["to_mc_pct"]) == (8, pytest.approx(9.27114, abs=1e-5))
    assert found["change_mm"] == pytest.approx(0.254228, abs=1e-6)
    assert found["u_change_mm"] == pytest.approx(0.170102, abs=2e-6)
    # With 0.1 % at both: 0.2·0.1·√2 = 0.0282843, √(0.0014542 + 0.0008) = 0.047478.
    told = gauges()["movement"].run({**asked, "u_mc_pct": 0.1})
    assert told["u_change_mm"] == pytest.approx(0.047478, abs=2e-6)
    # A doubt of 1 mm of the width weighs 0.254228/100: √(0.170102² + 0.002542²).
    wide = gauges()["movement"].run({**asked, "u_width_mm": 1})
    assert wide["u_change_mm"] == pytest.approx(0.170121, abs=2e-6)


@pytest.mark.parametrize("asked", [{}, {"to_mc_pct": 9, "to_rh_pct": 50}])
def test_one_moisture_at_each_end_and_not_two(asked):
    with pytest.raises(GaugeInputError) as refused:
        gauges()["movement"].run({"width_mm": 10, "c_per_pct": 0.002, "from_mc_pct": 8, **asked})

    assert (refused.value.code, refused.value.field) == ("needs_one", "to_mc_pct, to_rh_pct")
    assert refused.value.details["value"] == len(asked)


def test_movement_outside_the_table_is_counted_from_green_by_hand():
    # S = 3000/520 = 5.76923 %, so 3000/S − 30 = 490. From 4 to 12 %: 8/494 of 200 mm = 3.238866;
    # from 12 to 4: −8/502 = −3.187251. Linear would give 3.2.
    assert movement(200, FIBRE, 4, 12).change_mm == pytest.approx(3.238866, abs=1e-6)
    assert movement(200, FIBRE, 12, 4).change_mm == pytest.approx(-3.187251, abs=1e-6)
    # Above 30 % only the part below counts: 18/502.
    assert shrinkage_change_mm(200, FIBRE.s_pct, 12, 60) == pytest.approx(7.171315, abs=1e-6)
    assert shrinkage_change_mm(200, FIBRE.s_pct, 60, 12) == pytest.approx(-6.923077, abs=1e-6)


@pytest.mark.parametrize(("from_rh", "gap"), [(45, 0.3), (45, 3.0), (15, 0.2), (15, 3.0)])
def test_at_the_humidity_that_closes_the_gap_the_wood_has_grown_by_it(from_rh, gap):
    # From 45 % RH (8.5 %) a small gap stays in 6…14 %, all others go beyond at one end.
    closes = rh_to_close(200, FIBRE, Air(20, from_rh, 10, 0), gap)

    assert closes is not None
    moved = movement(200, FIBRE, emc_pct(20, from_rh), emc_pct(10, closes))
    assert moved.change_mm == pytest.approx(gap, abs=1e-9)
    assert moved.equation == ("linear" if (from_rh, gap) == (45, 0.3) else "shrinkage")


def test_no_air_swells_wood_to_its_fibre_saturation():
    # 200 mm from 8.485 % have 200·21.5/498.5 = 8.6 mm to grow until 30 %, and no air gives that.
    assert rh_to_close(200, FIBRE, Air(20, 45, 20, 50), 8.6) is None
    assert rh_to_close(200, FIBRE, Air(20, 45, 20, 50), 60.0) is None


def test_without_a_gap_nothing_is_left_to_judge():
    found = crack_closing(180, SPRUCE, Air(20, 30, 20, 50))

    assert found.closing_mm == pytest.approx(0.7214, abs=1e-3)
    assert (found.left_mm, found.u_left_mm, found.rh_to_close_pct, found.verdict) == (None,) * 4
    assert (found.from_emc_pct, found.to_emc_pct) == (emc_pct(20, 30), emc_pct(20, 50))


@pytest.mark.parametrize(
    ("used_to", "to", "field"),
    [(-1, 50, "used_to_rh_pct"), (101, 50, "used_to_rh_pct"), (50, -1, "to_rh_pct"),
     (50, 101, "to_rh_pct")],
)  # fmt: skip
def test_a_drop_of_a_humidity_that_is_none_is_refused(used_to, to, field):
    with pytest.raises(GaugeInputError) as refused:
        drying_risk(used_to, to, held=True)

    assert refused.value.field == field
    assert drying_risk(100, 0, held=True).drop_rh_pct == 100.0


def test_a_house_without_a_limit_of_the_drop_does_not_judge_it():
    found = drying_risk(90, 20, held=True, limit=None)

    assert (found.risk, found.below_25, found.drop_rh_pct) == ("not_judged", True, 70.0)
    # Surely under 25: 25 − 1.645·2√2 = 20.35; with a limit of 60 a drop of 55 is probable.
    assert drying_risk(70, 49.7, held=True).risk == "unlikely"
    assert drying_risk(70, 49.6, held=True).risk == "becoming_probable"
    assert drying_risk(90, 35, held=True, limit=Limit(None, 54.0, "%")).risk == "probable"


def test_the_gauge_tells_the_risk_and_refuses_another_word_for_held():
    asked = {
        "width_mm": 180, "species": "engelmann_spruce", "direction": "radial", "t_c": 20,
        "from_rh_pct": 50, "to_rh_pct": 24, "used_to_rh_pct": 80, "held": True,
    }  # fmt: skip

    found = gauges()["crack_closing"].run(asked)

    assert found["drying"]["risk"] == "probable"
    assert (found["drying"]["drop_rh_pct"], found["drying"]["below_25"]) == (56, True)
    assert gauges()["crack_closing"].run({**asked, "held": False})["drying"]["risk"] == "free"
    assert gauges()["crack_closing"].run({**asked, "held": None})["drying"]["risk"] == "not_judged"
    with pytest.raises(GaugeInputError) as refused:
        gauges()["crack_closing"].run({**asked, "held": "yes"})
    assert (refused.value.code, refused.value.field) == ("unknown", "held")


@pytest.mark.parametrize(
    ("gap", "width", "air", "deed", "notes"),
    [
        # Nothing moves in the same air: left is the gap, and it is neither to be dried nor pressed.
        (0.0, 10, Air(20, 50, 20, 50), "glue", ()),
        (0.02, 10, Air(20, 50, 20, 50), "glue", ()),
        # −0.22 ± 0.15: closed; a joint that is only perhaps pressed is not said to be.
        (0.5, 180, Air(20, 30, 20, 50), "glue", ()),
        (0.75, 180, Air(20, 30, 20, 50), "bring_to_target_and_measure_again", ()),
        # At home already no waiting tells more: 0.11 ± 0.01 is tried dry, 0.2 is a splint.
        (0.11, 180, Air(20, 50, 20, 50), "try_dry", ()),
        (0.17, 180, Air(20, 50, 20, 52), "try_dry", ()),
        (0.2, 180, Air(20, 50, 20, 50), "splint", ()),
        (0.1, 180, Air(20, 30, 20, 50), "glue", ("would_press",)),
        # A millimetre further open in drier air: 1 + 180·0.0013·1.5.
        (1.5, 180, Air(20, 50, 20, 40), "splint", ("closes_only_damp", "dry_it")),
        (9.0, 180, Air(20, 50, 20, 50), "splint", ("never_closes",)),
    ],
)
def test_what_is_said_of_a_crack_and_its_home(gap, width, air, deed, notes):
    found = crack_joint(gap, width, SPRUCE, air, u_gap_mm=0.01)

    assert (found.deed, found.notes) == (deed, notes)
    assert found.left_mm == pytest.approx(gap - found.closing.closing_mm, abs=1e-12)
    assert found.splint_mm == (found.left_mm if deed == "splint" else None)
    assert found.u_left_mm == found.closing.u_left_mm
