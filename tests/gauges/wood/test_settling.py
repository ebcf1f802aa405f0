"""How long wood follows the air: Crank's series, the equation itself, and what a plate takes.

And a crack at home or repaired: no advice that leads back to itself.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from repairs.gauges.base.errors import GaugeInputError
from repairs.gauges.everything import gauges
from repairs.gauges.wood.settling import days_until, settling, share_settled, tau_days

JOINT = {
    "gap_mm": 0.3, "width_mm": 180, "species": "engelmann_spruce", "direction": "radial",
    "t_c": 20, "from_rh_pct": 30, "to_rh_pct": 50,
}  # fmt: skip


def joint(**more):
    return gauges()["crack_joint"].run({**JOINT, **more})


def test_tau_by_hand():
    # 3 mm, both faces: 9·10⁻⁶/(π²·10⁻¹⁰) = 9119 s; one face counts as twice the thickness.
    assert tau_days(3, "both") == pytest.approx(9118.9 / 86_400, rel=1e-4)
    assert tau_days(3, "one") == pytest.approx(4 * tau_days(3, "both"))
    # A block of 40 mm: 18.8 days.
    assert tau_days(40, "both") == pytest.approx(18.76, abs=0.01)


@pytest.mark.parametrize("share", [0.5, 0.8, 0.95, 0.99])
def test_the_days_are_those_of_the_whole_series(share):
    assert share_settled(days_until(share, 2.0), 2.0) == pytest.approx(share, abs=2e-3)
    assert share_settled(0, 2.0) == 0.0
    assert share_settled(1e-4, 2.0) < 0.02


def test_the_series_is_the_solution_of_the_equation_of_diffusion():
    # Explicit differences over 40 cells of a slab whose faces stand at 1 from the first moment on.
    cells, d, h = 40, 1e-10, 3e-3
    dx = h / cells
    dt = 0.4 * dx * dx / d
    m = np.zeros(cells)
    steps = round(tau_days(3, "both") * 86_400 / dt)
    for _ in range(steps):
        walls = np.concatenate(([2.0 - m[0]], m, [2.0 - m[-1]]))
        m = m + d * dt / dx**2 * (walls[:-2] - 2 * m + walls[2:])

    tau = tau_days(3, "both")
    assert m.mean() == pytest.approx(share_settled(steps * dt / 86_400, tau), abs=2e-3)


def test_a_plate_follows_in_days_and_a_block_in_months():
    plate, block = settling(3.0, "one"), settling(40.0, "both")

    assert plate.days == pytest.approx(plate.tau_days * math.log(160 / math.pi**2))
    assert plate.least_days < 1 < plate.days < plate.most_days < 4
    assert 50 < block.days < 55 and block.most_days == pytest.approx(3 * block.days)


def test_at_home_with_an_open_gap_no_advice_leads_back_to_itself():
    """Found by it: “bring it home, measure again”, at home, for ever."""
    for gap in np.linspace(0.0, 2.0, 81):
        at_home = joint(gap_mm=float(gap), from_rh_pct=50)["deed"]
        assert at_home in ("glue", "try_dry", "splint")
        # What is brought home and measured again is decided then.
        if joint(gap_mm=float(gap))["deed"] == "bring_to_target_and_measure_again":
            left = max(joint(gap_mm=float(gap))["left_mm"], 0.0)
            assert joint(gap_mm=left, from_rh_pct=50)["deed"] != "bring_to_target_and_measure_again"


@pytest.mark.parametrize(
    ("gap", "deed"), [(0.0, "holds"), (0.01, "holds"), (0.1, "look_closer"), (0.3, "opened")]
)
@pytest.mark.parametrize("repair", ["glued", "splinted"])
def test_after_the_repair_the_advice_reads_the_repair(repair, gap, deed):
    got = joint(gap_mm=gap, repair=repair, from_rh_pct=50)

    assert (got["deed"], got["left_mm"], got["splint_mm"]) == (deed, gap, None)
    assert got["notes"] == []


def test_a_repaired_crack_is_pulled_at_where_its_home_is_drier():
    assert joint(gap_mm=0, repair="glued", from_rh_pct=60, to_rh_pct=40)["notes"] == [
        "pulls_at_home"
    ]
    assert joint(gap_mm=0, repair="glued", from_rh_pct=40, to_rh_pct=60)["notes"] == []


def test_the_wait_is_told_where_the_thickness_is_known():
    assert joint()["settling"] is None
    assert joint(thickness_mm=3)["settling"]["days"] == pytest.approx(settling(3, "one").days)
    assert joint(thickness_mm=3, faces="both")["settling"]["days"] == pytest.approx(
        settling(3, "both").days
    )


@pytest.mark.parametrize(
    ("more", "code", "field"),
    [
        ({"thickness_mm": 0}, "too_small", "thickness_mm"),
        ({"thickness_mm": 10_000}, "too_big", "thickness_mm"),
        ({"thickness_mm": -3}, "too_small", "thickness_mm"),
        ({"thickness_mm": "thin"}, "not_a_number", "thickness_mm"),
        ({"thickness_mm": 3, "faces": "none"}, "unknown", "faces"),
        ({"repair": "cleated"}, "unknown", "repair"),
    ],
)
def test_bad_input_is_refused_by_name(more, code, field):
    with pytest.raises(GaugeInputError) as refused:
        joint(**more)

    assert (refused.value.code, refused.value.field) == (code, field)
